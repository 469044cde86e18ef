//! Purging what was erased for good from a database: done by who keeps it, under a role of its own, as no bench may.

use crate::told::told;
use crate::{Address, NotMet, Patience, Reason, Secret, Server};

/// What was purged.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Purged {
    /// How many entries say nothing any more.
    pub entries: u64,
    /// How many photos and takes went.
    pub files: u64,
}

impl Purged {
    /// What was purged, in a sentence.
    #[must_use]
    pub fn in_words(&self) -> String {
        if *self == Self::default() {
            return "There is nothing to purge.".to_owned();
        }
        format!(
            "Purged: {} of entries, {} of photos and takes. The server frees their room by itself in a while; its backups keep what \
             they have.",
            self.entries, self.files
        )
    }
}

/// The photos and takes that only erased entries name.
const FILES: &str = "
    WITH erased AS MATERIALIZED (
      SELECT DISTINCT decode(found[1], 'hex') AS sum FROM solderlast.entry e
      CROSS JOIN LATERAL regexp_matches(e.line, '[0-9a-f]{64}', 'g') AS found
      WHERE EXISTS (SELECT FROM solderlast.erasure x WHERE x.about = e.about)
    )
    DELETE FROM solderlast.file f USING erased WHERE f.sum = erased.sum AND NOT solderlast.is_named(f.sum) RETURNING f.parts";
const PARTS: &str = "DELETE FROM solderlast.part WHERE sum = ANY($1) AND NOT solderlast.is_of_a_file(sum)";
const WOULD_GO: &str = "
    SELECT count(*) FILTER (WHERE EXISTS (SELECT FROM solderlast.erasure x WHERE x.about = e.about)), count(*)
    FROM solderlast.entry e WHERE line IS NOT NULL";
const ENTRIES: &str = "
    UPDATE solderlast.entry e SET line = NULL, sum = NULL
    WHERE line IS NOT NULL AND EXISTS (SELECT FROM solderlast.erasure x WHERE x.about = e.about)";

/// Purges from the database at this address what benches erased for good: what entries say, and photos and takes that no other
/// entry names. That they were there stays, by number and name. Without `much`, not where it is more than half of all entries.
///
/// # Errors
/// [`NotMet`]; nothing was purged then.
pub async fn purge(
    address: &Address,
    secret: Option<&Secret>,
    patience: Patience,
    much: bool,
) -> Result<Purged, NotMet> {
    let mut server = Server::meet(address, secret, patience).await?;
    let purged = async {
        let stroke = server.client_mut().transaction().await?;
        // Whoever adds waits, so that no new entry comes to name what is about to go.
        stroke.batch_execute("SELECT pg_advisory_xact_lock(1936682084, 1)").await?;
        let row = stroke.query_one(WOULD_GO, &[]).await?;
        let (would_go, all): (i64, i64) = (row.try_get(0)?, row.try_get(1)?);
        if !much && would_go > all / 2 {
            return Ok(Err((would_go, all)));
        }
        let files = stroke.query(FILES, &[]).await?;
        let mut parts: Vec<Vec<u8>> = Vec::new();
        for row in &files {
            let list: &[u8] = row.try_get(0)?;
            parts.extend(list.as_chunks::<32>().0.iter().map(|sum| sum.to_vec()));
        }
        stroke.execute(PARTS, &[&parts]).await?;
        let entries = stroke.execute(ENTRIES, &[]).await?;
        stroke.commit().await?;
        Ok::<_, tokio_postgres::Error>(Ok(Purged { entries, files: files.len() as u64 }))
    };
    let purged = purged.await.map_err(|error| {
        let not_met = told(&error);
        if not_met.reason == Reason::NotLetIn {
            let sentence = "This account may not purge. It has to belong to solderlast_keeper: who keeps the database says GRANT \
                            solderlast_keeper TO it. Nothing was purged.";
            return NotMet::new(Reason::NotLetIn, sentence);
        }
        not_met
    })?;
    purged.map_err(|(would_go, all)| {
        let sentence = format!(
            "{would_go} of {all} entries would go. The table solderlast.erasure tells which account erased what. If it is meant, say \
             --erase as well. Nothing was purged."
        );
        NotMet::new(Reason::NotOurs, sentence)
    })
}
