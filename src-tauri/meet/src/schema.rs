//! The tables of a shared log in a database: the changes of each version, and who may do what.
//!
//! All of it lies in a schema of its own, `solderlast`, so a database may hold other things as well. Benches log in under
//! accounts that belong to `solderlast_bench`, which reads and adds and can change or remove nothing: it has no right to, and the
//! policies of the rows allow no more.

use tokio_postgres::Client;

use crate::told::told;
use crate::{NotMet, Reason};

/// The changes, in order; the table `version` tells how many were made.
pub(crate) const MIGRATIONS: [&str; 4] = [ENTRIES, FILES, ERASURES, FEW_ERASED];

/// The version that this program makes and understands.
pub const NEWEST: usize = MIGRATIONS.len();

/// Writers follow one another: a number is given only when all lower ones can be read, so who has read up to one has read all
/// below. The word that there is something new goes out when it can be read.
const ENTRIES: &str = r#"
CREATE SCHEMA solderlast;
DO $do$ BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'solderlast_bench') THEN
    CREATE ROLE solderlast_bench NOLOGIN;
  END IF;
END $do$;
CREATE TABLE solderlast.version (
  number integer PRIMARY KEY,
  made timestamptz NOT NULL DEFAULT now()
);
CREATE TABLE solderlast.shared_log (
  only_one boolean PRIMARY KEY DEFAULT true CHECK (only_one),
  id uuid NOT NULL DEFAULT gen_random_uuid(),
  made timestamptz NOT NULL DEFAULT now()
);
INSERT INTO solderlast.shared_log DEFAULT VALUES;
CREATE TABLE solderlast.entry (
  number bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  id uuid NOT NULL UNIQUE,
  about uuid NOT NULL,
  line text NOT NULL CHECK (octet_length(line) BETWEEN 2 AND 2097152),
  sum bytea NOT NULL,
  account name NOT NULL DEFAULT session_user,
  came timestamptz NOT NULL DEFAULT now(),
  CONSTRAINT sum_of_line CHECK (sum = sha256(convert_to(line, 'UTF8')))
);
COMMENT ON TABLE solderlast.entry IS 'Each entry of every bench, as a line of a bundle. Nothing here is ever changed.';
CREATE INDEX entry_about ON solderlast.entry (about);
CREATE FUNCTION solderlast.one_after_the_other() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog AS $do$
BEGIN
  PERFORM pg_advisory_xact_lock(1936682084, 1);
  RETURN NULL;
END $do$;
CREATE TRIGGER one_after_the_other BEFORE INSERT ON solderlast.entry
  FOR EACH STATEMENT EXECUTE FUNCTION solderlast.one_after_the_other();
CREATE FUNCTION solderlast.tell() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog AS $do$
BEGIN
  IF EXISTS (SELECT FROM added) THEN
    PERFORM pg_notify('solderlast', '');
  END IF;
  RETURN NULL;
END $do$;
CREATE TRIGGER tell AFTER INSERT ON solderlast.entry
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION solderlast.tell();
ALTER TABLE solderlast.version ENABLE ROW LEVEL SECURITY;
ALTER TABLE solderlast.shared_log ENABLE ROW LEVEL SECURITY;
ALTER TABLE solderlast.entry ENABLE ROW LEVEL SECURITY;
CREATE POLICY benches_read ON solderlast.version FOR SELECT TO solderlast_bench USING (true);
CREATE POLICY benches_read ON solderlast.shared_log FOR SELECT TO solderlast_bench USING (true);
CREATE POLICY benches_read ON solderlast.entry FOR SELECT TO solderlast_bench USING (true);
CREATE POLICY benches_add ON solderlast.entry FOR INSERT TO solderlast_bench WITH CHECK (
  starts_with(line, '{"id":"' || id || '","at":"') AND position(',"id":"' || about || '"},' in left(line, 400)) > 0
);
GRANT USAGE ON SCHEMA solderlast TO solderlast_bench;
GRANT SELECT ON solderlast.version, solderlast.shared_log, solderlast.entry TO solderlast_bench;
GRANT INSERT (id, about, line, sum) ON solderlast.entry TO solderlast_bench;
"#;

/// Photos and takes, in parts that are named by what they hold. A file is told only when all of it is there, so none is ever half.
/// What it holds as a whole can't be summed here without holding it in memory; benches do that, and a false word of one bench
/// keeps no other from adding the true file beside it. Parts are as small as they get, so they are not packed.
const FILES: &str = r#"
CREATE TABLE solderlast.part (
  sum bytea PRIMARY KEY,
  bytes bytea NOT NULL CHECK (octet_length(bytes) BETWEEN 1 AND 1048576),
  account name NOT NULL DEFAULT session_user,
  came timestamptz NOT NULL DEFAULT now(),
  CONSTRAINT sum_of_part CHECK (sum = sha256(bytes))
);
ALTER TABLE solderlast.part ALTER COLUMN bytes SET STORAGE EXTERNAL;
COMMENT ON TABLE solderlast.part IS 'Photos and takes in parts of 1 MiB. Nothing here is ever changed.';
CREATE TABLE solderlast.file (
  number bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  sum bytea NOT NULL CHECK (octet_length(sum) = 32),
  bytes bigint NOT NULL CHECK (bytes BETWEEN 1 AND 200000000),
  parts bytea NOT NULL,
  parts_sum bytea NOT NULL,
  account name NOT NULL DEFAULT session_user,
  came timestamptz NOT NULL DEFAULT now(),
  UNIQUE (sum, parts_sum),
  CONSTRAINT as_many_parts CHECK (octet_length(parts) = 32 * ((bytes + 1048575) / 1048576)),
  CONSTRAINT sum_of_parts CHECK (parts_sum = sha256(parts))
);
COMMENT ON TABLE solderlast.file IS 'What each photo and take is made of: the sums of its parts, in order.';
CREATE FUNCTION solderlast.is_whole(parts bytea, bytes bigint) RETURNS boolean
LANGUAGE sql STABLE SET search_path = pg_catalog AS $do$
  SELECT count(p.sum) = octet_length($1) / 32 AND sum(octet_length(p.bytes)) = $2
  FROM generate_series(0, octet_length($1) / 32 - 1) AS place
  LEFT JOIN solderlast.part p ON p.sum = substr($1, place * 32 + 1, 32)
$do$;
CREATE TRIGGER one_after_the_other BEFORE INSERT ON solderlast.file
  FOR EACH STATEMENT EXECUTE FUNCTION solderlast.one_after_the_other();
CREATE TRIGGER tell AFTER INSERT ON solderlast.file
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION solderlast.tell();
ALTER TABLE solderlast.part ENABLE ROW LEVEL SECURITY;
ALTER TABLE solderlast.file ENABLE ROW LEVEL SECURITY;
CREATE POLICY benches_read ON solderlast.part FOR SELECT TO solderlast_bench USING (true);
CREATE POLICY benches_read ON solderlast.file FOR SELECT TO solderlast_bench USING (true);
CREATE POLICY benches_add ON solderlast.part FOR INSERT TO solderlast_bench WITH CHECK (true);
CREATE POLICY benches_add ON solderlast.file FOR INSERT TO solderlast_bench
  WITH CHECK (solderlast.is_whole(parts, bytes));
GRANT SELECT ON solderlast.part, solderlast.file TO solderlast_bench;
GRANT INSERT (sum, bytes) ON solderlast.part TO solderlast_bench;
GRANT INSERT (sum, bytes, parts, parts_sum) ON solderlast.file TO solderlast_bench;
"#;

/// What was erased for good, as facts that benches add. What they name is kept until it is purged, which is another role's to do; an
/// entry that was purged says nothing any more, and its number and name stay, as benches count them.
const ERASURES: &str = r#"
DO $do$ BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'solderlast_keeper') THEN
    CREATE ROLE solderlast_keeper NOLOGIN;
  END IF;
END $do$;
CREATE TABLE solderlast.erasure (
  number bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  about uuid NOT NULL UNIQUE,
  thing text NOT NULL CHECK (thing ~ '^[a-z0-9_]{1,60}$' AND thing <> 'meter'),
  at timestamptz NOT NULL,
  bench uuid NOT NULL,
  account name NOT NULL DEFAULT session_user,
  came timestamptz NOT NULL DEFAULT now()
);
COMMENT ON TABLE solderlast.erasure IS 'Things that benches erased for good. Nothing here is ever changed.';
ALTER TABLE solderlast.entry ALTER COLUMN line DROP NOT NULL, ALTER COLUMN sum DROP NOT NULL,
  ADD CONSTRAINT purged_whole CHECK ((line IS NULL) = (sum IS NULL));
CREATE FUNCTION solderlast.leave_erased_out() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog AS $do$
BEGIN
  IF EXISTS (SELECT FROM solderlast.erasure x WHERE x.about = NEW.about) THEN
    RETURN NULL;
  END IF;
  RETURN NEW;
END $do$;
CREATE TRIGGER leave_erased_out BEFORE INSERT ON solderlast.entry
  FOR EACH ROW EXECUTE FUNCTION solderlast.leave_erased_out();
CREATE TRIGGER one_after_the_other BEFORE INSERT ON solderlast.erasure
  FOR EACH STATEMENT EXECUTE FUNCTION solderlast.one_after_the_other();
CREATE TRIGGER tell AFTER INSERT ON solderlast.erasure
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION solderlast.tell();
CREATE FUNCTION solderlast.is_named(file bytea) RETURNS boolean
LANGUAGE sql STABLE SET search_path = pg_catalog AS $do$
  SELECT EXISTS (SELECT FROM solderlast.entry e WHERE position(encode($1, 'hex') in e.line) > 0
    AND NOT EXISTS (SELECT FROM solderlast.erasure x WHERE x.about = e.about))
$do$;
CREATE FUNCTION solderlast.is_of_a_file(part bytea) RETURNS boolean
LANGUAGE sql STABLE SET search_path = pg_catalog AS $do$
  SELECT EXISTS (SELECT FROM solderlast.file f WHERE position($1 in f.parts) > 0)
$do$;
ALTER TABLE solderlast.erasure ENABLE ROW LEVEL SECURITY;
CREATE POLICY benches_read ON solderlast.erasure FOR SELECT TO solderlast_bench USING (true);
CREATE POLICY benches_add ON solderlast.erasure FOR INSERT TO solderlast_bench WITH CHECK (true);
GRANT SELECT ON solderlast.erasure TO solderlast_bench;
GRANT INSERT (about, thing, at, bench) ON solderlast.erasure TO solderlast_bench;
CREATE POLICY keepers_read ON solderlast.version FOR SELECT TO solderlast_keeper USING (true);
CREATE POLICY keepers_read ON solderlast.shared_log FOR SELECT TO solderlast_keeper USING (true);
CREATE POLICY keepers_read ON solderlast.entry FOR SELECT TO solderlast_keeper USING (true);
CREATE POLICY keepers_read ON solderlast.erasure FOR SELECT TO solderlast_keeper USING (true);
CREATE POLICY keepers_read ON solderlast.part FOR SELECT TO solderlast_keeper USING (true);
CREATE POLICY keepers_read ON solderlast.file FOR SELECT TO solderlast_keeper USING (true);
CREATE POLICY keepers_purge ON solderlast.entry FOR UPDATE TO solderlast_keeper
  USING (EXISTS (SELECT FROM solderlast.erasure x WHERE x.about = entry.about)) WITH CHECK (line IS NULL AND sum IS NULL);
CREATE POLICY keepers_purge ON solderlast.file FOR DELETE TO solderlast_keeper USING (NOT solderlast.is_named(sum));
CREATE POLICY keepers_purge ON solderlast.part FOR DELETE TO solderlast_keeper USING (NOT solderlast.is_of_a_file(sum));
GRANT USAGE ON SCHEMA solderlast TO solderlast_keeper;
GRANT SELECT ON ALL TABLES IN SCHEMA solderlast TO solderlast_keeper;
GRANT UPDATE (line, sum) ON solderlast.entry TO solderlast_keeper;
GRANT DELETE ON solderlast.file, solderlast.part TO solderlast_keeper;
"#;

/// What was erased is looked up once for all rows of a statement, behind the lock that writers wait for, and each row is held against that:
/// to ask for each took longer than to write it. Where much was erased, each is asked for as before.
const FEW_ERASED: &str = r#"
CREATE OR REPLACE FUNCTION solderlast.then_look_for_erased() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog AS $do$
BEGIN
  PERFORM set_config('solderlast.erased', (
    SELECT CASE WHEN count(*) <= 100 THEN coalesce(string_agg(about::text, ' '), '') ELSE 'many' END
    FROM (SELECT about FROM solderlast.erasure LIMIT 101) AS erased
  ), true);
  RETURN NULL;
END $do$;
DROP TRIGGER IF EXISTS then_look_for_erased ON solderlast.entry;
CREATE TRIGGER then_look_for_erased BEFORE INSERT ON solderlast.entry
  FOR EACH STATEMENT EXECUTE FUNCTION solderlast.then_look_for_erased();
DROP TRIGGER leave_erased_out ON solderlast.entry;
CREATE TRIGGER leave_erased_out BEFORE INSERT ON solderlast.entry FOR EACH ROW
  WHEN (current_setting('solderlast.erased', true) IS NOT DISTINCT FROM 'many'
    OR position(NEW.about::text IN coalesce(current_setting('solderlast.erased', true), NEW.about::text)) > 0)
  EXECUTE FUNCTION solderlast.leave_erased_out();
"#;

/// Looks whether a shared log of this version is there.
pub(crate) async fn look(client: &Client) -> Result<(), NotMet> {
    let not_ours = |what: &str| {
        NotMet::new(
            Reason::NotOurs,
            format!(
                "This database has something of the name solderlast that is no shared log: {what}. Nothing was changed."
            ),
        )
    };
    match number(client).await? {
        Standing::Nothing => Err(NotMet::new(
            Reason::NotBegun,
            "This database has no shared log yet. Look whether it is the right one. Who may make tables and roles in it begins \
             one with solderlast meet --begin. Nothing was changed.",
        )),
        Standing::SomethingElse => Err(not_ours("its tables are others")),
        Standing::Of(number) if number > NEWEST => Err(NotMet::new(
            Reason::Newer,
            "A newer version of Solderlast made this shared log. Use that version on this bench. Nothing was sent or brought in.",
        )),
        Standing::Of(number) if number < NEWEST => Err(NotMet::new(
            Reason::Older,
            "This shared log is of an older version. Who keeps the database brings it up to date with solderlast meet --begin; no entry is lost \
             by it. Nothing was sent or brought in.",
        )),
        Standing::Of(_) => Ok(()),
    }
}

/// What is in a database.
enum Standing {
    Nothing,
    SomethingElse,
    Of(usize),
}

async fn number(client: &Client) -> Result<Standing, NotMet> {
    let question = "SELECT EXISTS (SELECT FROM pg_namespace WHERE nspname = 'solderlast'),
        EXISTS (SELECT FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
            WHERE n.nspname = 'solderlast' AND c.relname = 'version' AND c.relkind = 'r')";
    let row = client.query_one(question, &[]).await.map_err(|error| told(&error))?;
    let there = |column| row.try_get::<_, bool>(column).map_err(|error| told(&error));
    if !there(0)? {
        return Ok(Standing::Nothing);
    }
    if !there(1)? {
        return Ok(Standing::SomethingElse);
    }
    let newest = "SELECT coalesce(max(number), 0)::bigint FROM solderlast.version";
    let row = client.query_one(newest, &[]).await.map_err(|error| told(&error))?;
    let newest: i64 = row.try_get(0).map_err(|error| told(&error))?;
    Ok(Standing::Of(usize::try_from(newest).unwrap_or(0)))
}

/// Makes the tables, or brings them up to date, in one stroke; answers whether anything was made.
pub(crate) async fn begin(client: &mut Client) -> Result<bool, NotMet> {
    let stroke = client.transaction().await.map_err(|error| told(&error))?;
    // Two that begin at once begin the same.
    stroke.batch_execute("SELECT pg_advisory_xact_lock(1936682084, 2)").await.map_err(|error| told(&error))?;
    let made = match number(stroke.client()).await? {
        Standing::Nothing => 0,
        Standing::Of(number) => number,
        Standing::SomethingElse => {
            let sentence =
                "This database has something of the name solderlast that is no shared log. Nothing was changed.";
            return Err(NotMet::new(Reason::NotOurs, sentence));
        }
    };
    if made > NEWEST {
        let sentence = "A newer version of Solderlast made this shared log. Nothing was changed.";
        return Err(NotMet::new(Reason::Newer, sentence));
    }
    for (at, migration) in MIGRATIONS.iter().enumerate().skip(made) {
        stroke.batch_execute(migration).await.map_err(|error| told(&error))?;
        let note = format!("INSERT INTO solderlast.version (number) VALUES ({})", at + 1);
        stroke.batch_execute(&note).await.map_err(|error| told(&error))?;
    }
    stroke.commit().await.map_err(|error| told(&error))?;
    Ok(made < NEWEST)
}
