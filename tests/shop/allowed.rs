//! What a bench's account may do in the database, by trying: read and add, and nothing else.

use solderlast_testkit::Chance;

use crate::bench::Stock;
use crate::server::{PASSWORD, Postgres, program};
use crate::shopkeeper::Shopkeeper;

/// The server refuses for want of a right.
const NO_RIGHT: &str = "42501";

#[test]
fn a_bench_reads_and_adds_and_can_change_nothing() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let stock = Stock::new();
    let mut keeper = Shopkeeper::stocked(&stock);
    keeper.photo(&stock.audition, 1);
    keeper.take(&stock.audition, 3 << 19, &mut Chance(7));
    let sent = program(&["meet", &server.address("shop"), "--once"], &keeper.folder(), Some(PASSWORD));
    assert!(sent.status.success(), "{sent:?}");
    let owner = server.keeper("shop");
    let written = owner.counts("SELECT count(*) FROM solderlast.entry");
    assert_eq!(written, keeper.rows().len() as i64);
    let all_there = "SELECT (SELECT sum(hashtext(e::text)) FROM solderlast.entry e)
        + (SELECT sum(hashtext(f::text)) FROM solderlast.file f) + (SELECT sum(hashtext(p::text)) FROM solderlast.part p)";
    let before = owner.counts(all_there);

    let ada = server.somebody("ada", "shop");
    assert_eq!(ada.counts("SELECT count(*) FROM solderlast.entry"), written);
    for sql in [
        "UPDATE solderlast.entry SET line = line",
        "UPDATE solderlast.entry SET sum = sum WHERE false",
        "DELETE FROM solderlast.entry",
        "DELETE FROM solderlast.entry WHERE false",
        "TRUNCATE solderlast.entry",
        "INSERT INTO solderlast.entry (number, id, about, line, sum) OVERRIDING SYSTEM VALUE
            SELECT 1 - number, gen_random_uuid(), about, line, sum FROM solderlast.entry",
        "INSERT INTO solderlast.entry (id, about, line, sum, account) SELECT id, about, line, sum, 'eve' FROM solderlast.entry",
        "INSERT INTO solderlast.entry (id, about, line, sum) SELECT id, about, line, sum FROM solderlast.entry
            ON CONFLICT (id) DO UPDATE SET line = excluded.line",
        // Under the name of another entry, or about another thing than its line says.
        "INSERT INTO solderlast.entry (id, about, line, sum) SELECT gen_random_uuid(), about, line, sum FROM solderlast.entry",
        "INSERT INTO solderlast.entry (id, about, line, sum)
            SELECT '019a3c5f-7e00-7000-8000-00000000ffff', gen_random_uuid(), l, sha256(convert_to(l, 'UTF8'))
            FROM (SELECT '{\"id\":\"019a3c5f-7e00-7000-8000-00000000ffff\",\"at\":\"x\"}' l) x",
        "UPDATE solderlast.part SET bytes = bytes",
        "UPDATE solderlast.part SET sum = sum WHERE false",
        "DELETE FROM solderlast.part",
        "TRUNCATE solderlast.part",
        "INSERT INTO solderlast.part (sum, bytes, account) SELECT sum, bytes, 'eve' FROM solderlast.part",
        "INSERT INTO solderlast.part (sum, bytes) SELECT sum, bytes FROM solderlast.part
            ON CONFLICT (sum) DO UPDATE SET bytes = excluded.bytes",
        "UPDATE solderlast.file SET parts = parts",
        "DELETE FROM solderlast.file",
        "TRUNCATE solderlast.file",
        "INSERT INTO solderlast.file (number, sum, bytes, parts, parts_sum) OVERRIDING SYSTEM VALUE
            SELECT -number, sum, bytes, parts, parts_sum FROM solderlast.file",
        // A file of parts that are not there, or that come to another length.
        "INSERT INTO solderlast.file (sum, bytes, parts, parts_sum)
            SELECT sum, 100, sha256('x'), sha256(sha256('x')) FROM solderlast.file LIMIT 1",
        "INSERT INTO solderlast.file (sum, bytes, parts, parts_sum)
            SELECT sum, bytes - 1, parts, parts_sum FROM solderlast.file",
        "DROP TABLE solderlast.part",
        "ALTER TABLE solderlast.file DISABLE ROW LEVEL SECURITY",
        "CREATE OR REPLACE FUNCTION solderlast.is_whole(parts bytea, bytes bigint) RETURNS boolean LANGUAGE sql AS 'SELECT true'",
        "UPDATE solderlast.shared_log SET id = gen_random_uuid()",
        "INSERT INTO solderlast.shared_log DEFAULT VALUES",
        "INSERT INTO solderlast.version VALUES (99)",
        "DELETE FROM solderlast.version",
        "ALTER TABLE solderlast.entry DROP CONSTRAINT sum_of_line",
        "ALTER TABLE solderlast.entry DISABLE ROW LEVEL SECURITY",
        "DROP POLICY benches_add ON solderlast.entry",
        "DROP TRIGGER tell ON solderlast.entry",
        "DROP TABLE solderlast.entry",
        "DROP SCHEMA solderlast CASCADE",
        "CREATE TABLE solderlast.mine (a int)",
        "CREATE OR REPLACE FUNCTION solderlast.tell() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END'",
        "GRANT solderlast_bench TO stranger",
        "CREATE ROLE eve",
        "SET ROLE keeper",
        "SET SESSION AUTHORIZATION keeper",
    ] {
        assert_eq!(ada.tries(sql), Err(NO_RIGHT.to_owned()), "{sql}");
    }
    // A sum that is not that of the line, whoever adds it.
    let wrong_sum = "INSERT INTO solderlast.entry (id, about, line, sum)
        SELECT '019a3c5f-7e00-7000-8000-00000000fffe', about, '{\"id\":\"019a3c5f-7e00-7000-8000-00000000fffe\",\"at\":\"x\",\"id\":\"'
            || about || '\"},', sum FROM solderlast.entry LIMIT 1";
    assert_eq!(owner.tries(wrong_sum), Err("23514".to_owned()));
    for wrong in [
        "INSERT INTO solderlast.part (sum, bytes) VALUES (sha256('x'), 'y')",
        "INSERT INTO solderlast.part (sum, bytes) VALUES (sha256(''), '')",
        "INSERT INTO solderlast.part (sum, bytes) SELECT sha256(b), b FROM (SELECT convert_to(repeat('x', 1048577), 'UTF8') b) x",
        "INSERT INTO solderlast.file (sum, bytes, parts, parts_sum) SELECT sum, bytes, parts, sha256('x') FROM solderlast.file",
        "INSERT INTO solderlast.file (sum, bytes, parts, parts_sum)
            SELECT sum, bytes, parts || parts, sha256(parts || parts) FROM solderlast.file",
    ] {
        assert_eq!(owner.tries(wrong), Err("23514".to_owned()), "{wrong}");
        assert!(ada.tries(wrong).is_err(), "{wrong}");
    }
    let stranger = server.somebody("stranger", "shop");
    for sql in [
        "SELECT * FROM solderlast.entry",
        "SELECT * FROM solderlast.version",
        "INSERT INTO solderlast.entry DEFAULT VALUES",
        "SELECT * FROM solderlast.part",
        "SELECT * FROM solderlast.file",
        "INSERT INTO solderlast.part (sum, bytes) VALUES (sha256('x'), 'x')",
    ] {
        assert_eq!(stranger.tries(sql), Err(NO_RIGHT.to_owned()), "{sql}");
    }
    assert_eq!(owner.counts(all_there), before, "all is as it was");

    // Begun again it is the same one, and its entries stay.
    let name = "SELECT count(DISTINCT id) FROM solderlast.shared_log";
    let again = program(&["meet", &server.keepers_address("shop"), "--begin"], &keeper.folder(), None);
    assert!(String::from_utf8_lossy(&again.stdout).contains("was there already"), "{again:?}");
    assert_eq!((owner.counts(name), owner.counts("SELECT count(*) FROM solderlast.entry")), (1, written));
}
