//! A shared log in a PostgreSQL database.

use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, Utc};
use futures_util::stream::{StreamExt as _, poll_fn};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::sync::Notify;
use tokio::task::AbortHandle;
use tokio_postgres::{AsyncMessage, Client, Connection, NoTls, Row};
use uuid::Uuid;

use crate::log::Erasure;
use crate::log::bundle::limits::LONGEST_LINE;
use crate::log::shared::{Names, Outgoing, Parts, Sha};
use crate::told::told;
use crate::{Address, ErasedThere, FileHead, Head, NotMet, Reason, Secret, SharedLog, schema, tls};

/// How long a server may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patience {
    /// To be reached.
    pub to_connect: Duration,
    /// To answer one request.
    pub to_answer: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        Self { to_connect: Duration::from_secs(10), to_answer: Duration::from_secs(60) }
    }
}

/// A shared log in a database, met.
pub struct Server {
    client: Client,
    patience: Patience,
    /// Told when somebody added something, and when the connection is gone.
    news: Arc<Notify>,
    passing: AbortHandle,
}

impl Drop for Server {
    fn drop(&mut self) {
        self.passing.abort();
    }
}

impl Server {
    /// Meets the shared log at this address, and looks whether it is one of this version.
    ///
    /// # Errors
    /// [`NotMet`]; nothing was changed there.
    pub async fn meet(address: &Address, secret: Option<&Secret>, patience: Patience) -> Result<Self, NotMet> {
        let server = connect(address, secret, patience).await?;
        server.in_time(schema::look(&server.client)).await?;
        Ok(server)
    }

    /// Asks to be told when somebody adds something.
    ///
    /// # Errors
    /// [`NotMet`] when the server can't be asked.
    pub async fn listen(&self) -> Result<Arc<Notify>, NotMet> {
        self.in_time(async { self.client.batch_execute("LISTEN solderlast").await.map_err(|error| told(&error)) })
            .await?;
        Ok(Arc::clone(&self.news))
    }

    /// What the server's clock shows.
    ///
    /// # Errors
    /// [`NotMet`] when the server can't be asked.
    pub async fn clock(&self) -> Result<DateTime<Utc>, NotMet> {
        let rows = self.rows("SELECT (extract(epoch FROM clock_timestamp()) * 1000000)::bigint", &[]).await?;
        let micros = rows.first().and_then(|row| row.try_get(0).ok());
        micros.and_then(DateTime::from_timestamp_micros).ok_or_else(|| NotMet::untrue("its clock shows no time"))
    }

    /// Whether the connection is gone.
    #[must_use]
    pub fn is_gone(&self) -> bool {
        self.client.is_closed()
    }

    pub(crate) fn client_mut(&mut self) -> &mut Client {
        &mut self.client
    }

    async fn in_time<T>(&self, request: impl Future<Output = Result<T, NotMet>>) -> Result<T, NotMet> {
        match tokio::time::timeout(self.patience.to_answer, request).await {
            Ok(answered) => answered,
            Err(_) => {
                Err(NotMet::new(Reason::Away, "The server does not answer in time. What is written here is safe."))
            }
        }
    }

    async fn rows(
        &self,
        question: &str,
        with: &[&(dyn tokio_postgres::types::ToSql + Sync)],
    ) -> Result<Vec<Row>, NotMet> {
        self.in_time(async { self.client.query(question, with).await.map_err(|error| told(&error)) }).await
    }

    async fn write(&self, statement: &str, with: &[&(dyn tokio_postgres::types::ToSql + Sync)]) -> Result<(), NotMet> {
        let written = async { self.client.execute(statement, with).await.map_err(|error| told(&error)) };
        self.in_time(written).await.map(drop)
    }
}

/// Makes the tables of a shared log in the database at this address, or brings them up to date; answers whether there was anything
/// to make.
///
/// # Errors
/// [`NotMet`]; nothing was changed there.
pub async fn begin(address: &Address, secret: Option<&Secret>, patience: Patience) -> Result<bool, NotMet> {
    let mut server = connect(address, secret, patience).await?;
    schema::begin(&mut server.client).await
}

async fn connect(address: &Address, secret: Option<&Secret>, patience: Patience) -> Result<Server, NotMet> {
    let mut config = address.config(secret);
    config
        .application_name("solderlast")
        .connect_timeout(patience.to_connect)
        .tcp_user_timeout(patience.to_answer)
        .keepalives_idle(Duration::from_secs(30));
    // All of it, also what comes after the door was opened.
    let connected: Pin<Box<dyn Future<Output = Result<Server, NotMet>>>> = if address.encrypted {
        let encrypting = tls::encrypting(address.roots.as_deref())?;
        Box::pin(async move { passing(config.connect(encrypting).await, patience) })
    } else {
        Box::pin(async move { passing(config.connect(NoTls).await, patience) })
    };
    let server = match tokio::time::timeout(patience.to_connect + patience.to_answer, connected).await {
        Ok(connected) => connected?,
        Err(_) => return Err(NotMet::new(Reason::Away, "The server does not answer. What is written here is safe.")),
    };
    let row = server.rows("SELECT current_setting('server_version_num')::int", &[]).await?;
    let version: i32 = row.first().and_then(|row| row.try_get(0).ok()).unwrap_or(0);
    if version < 150_000 {
        let sentence = "A shared log needs PostgreSQL 15 or newer, and this server is older. Nothing was changed.";
        return Err(NotMet::new(Reason::NotOurs, sentence));
    }
    // A bench that dies, or a server that waits for another, must hold nobody up for good.
    let limits = format!(
        "SET statement_timeout = {0}; SET lock_timeout = {0}; SET idle_in_transaction_session_timeout = {0};
         SET search_path = pg_catalog",
        patience.to_answer.as_millis()
    );
    server.in_time(async { server.client.batch_execute(&limits).await.map_err(|error| told(&error)) }).await?;
    Ok(server)
}

/// Sets what comes from the server to pass, beside who asks.
fn passing<S, T>(
    connected: Result<(Client, Connection<S, T>), tokio_postgres::Error>,
    patience: Patience,
) -> Result<Server, NotMet>
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
    T: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let (client, mut connection) = connected.map_err(|error| {
        let not_met = told(&error);
        // Reached, and then not spoken to as a server does.
        if not_met.may_pass() && error.as_db_error().is_none() && !error.to_string().contains("error connecting") {
            let sentence = "Something answers there, but not as a PostgreSQL server does, or it went away. What is written here is \
                            safe.";
            return NotMet::new(Reason::Away, sentence);
        }
        not_met
    })?;
    let news = Arc::new(Notify::new());
    let tell = Arc::clone(&news);
    let passing = tokio::spawn(async move {
        let mut messages = poll_fn(move |context| connection.poll_message(context));
        while let Some(Ok(message)) = messages.next().await {
            if matches!(message, AsyncMessage::Notification(_)) {
                tell.notify_one();
            }
        }
        drop(messages);
        tell.notify_one();
    });
    Ok(Server { client, patience, news, passing: passing.abort_handle() })
}

impl SharedLog for Server {
    async fn name(&mut self) -> Result<Uuid, NotMet> {
        let rows = self.rows("SELECT id FROM solderlast.shared_log", &[]).await?;
        let [row] = rows.as_slice() else { return Err(NotMet::untrue("it has no name")) };
        row.try_get(0).map_err(|error| told(&error))
    }

    async fn names(&mut self, up_to: i64) -> Result<Names, NotMet> {
        let question =
            "SELECT count(*), coalesce(bit_xor(('x' || encode(substr(sha256(uuid_send(id)), 1, 8), 'hex'))::bit(64)::bigint), 0)
            FROM solderlast.entry WHERE number <= $1";
        let rows = self.rows(question, &[&up_to]).await?;
        let [row] = rows.as_slice() else { return Err(NotMet::untrue("it can't be counted")) };
        let (count, mixed): (i64, i64) =
            (row.try_get(0).map_err(|error| told(&error))?, row.try_get(1).map_err(|error| told(&error))?);
        Ok(Names { count: u64::try_from(count).unwrap_or(0), mixed: mixed.cast_unsigned() })
    }

    async fn after(&mut self, number: i64, most: usize) -> Result<Vec<Head>, NotMet> {
        let limit = i64::try_from(most).unwrap_or(i64::MAX);
        let question = "SELECT number, id, sum, octet_length(line), line IS NULL
                OR EXISTS (SELECT FROM solderlast.erasure x WHERE x.about = e.about)
            FROM solderlast.entry e WHERE number > $1 ORDER BY number LIMIT $2";
        let rows = self.rows(question, &[&number, &limit]).await?;
        rows.iter().map(head).collect()
    }

    async fn lines(&mut self, numbers: &[i64]) -> Result<Vec<(i64, String)>, NotMet> {
        let question = "SELECT number, line FROM solderlast.entry WHERE number = ANY($1)";
        let rows = self.rows(question, &[&numbers]).await?;
        let read = |row: &Row| Ok::<_, tokio_postgres::Error>((row.try_get(0)?, row.try_get(1)?));
        rows.iter().map(read).collect::<Result<_, _>>().map_err(|error| told(&error))
    }

    async fn add(&mut self, entries: &[Outgoing]) -> Result<(), NotMet> {
        let ids: Vec<Uuid> = entries.iter().map(|entry| entry.id).collect();
        let about: Vec<Uuid> = entries.iter().map(|entry| entry.about).collect();
        let lines: Vec<&str> = entries.iter().map(|entry| entry.line.as_str()).collect();
        let sums: Vec<&[u8]> = entries.iter().map(|entry| entry.sum.as_slice()).collect();
        // One statement, so one stroke: no bench holds it open.
        let insert = "INSERT INTO solderlast.entry (id, about, line, sum)
            SELECT * FROM unnest($1::uuid[], $2::uuid[], $3::text[], $4::bytea[]) ON CONFLICT (id) DO NOTHING";
        self.write(insert, &[&ids, &about, &lines, &sums]).await
    }

    async fn files_after(&mut self, number: i64, most: usize) -> Result<Vec<FileHead>, NotMet> {
        let limit = i64::try_from(most).unwrap_or(i64::MAX);
        let question = "SELECT number, sum, parts_sum FROM solderlast.file WHERE number > $1 ORDER BY number LIMIT $2";
        let rows = self.rows(question, &[&number, &limit]).await?;
        let read = |row: &Row| {
            let number = row.try_get(0).map_err(|error| told(&error))?;
            Ok(FileHead { number, sum: sum_in(row, 1, "a file")?, parts_sum: sum_in(row, 2, "a file")? })
        };
        rows.iter().map(read).collect()
    }

    async fn parts_of(&mut self, number: i64) -> Result<Option<Parts>, NotMet> {
        let rows = self.rows("SELECT bytes, parts FROM solderlast.file WHERE number = $1", &[&number]).await?;
        let Some(row) = rows.first() else { return Ok(None) };
        let bytes: i64 = row.try_get(0).map_err(|error| told(&error))?;
        let list: &[u8] = row.try_get(1).map_err(|error| told(&error))?;
        let sums = list.as_chunks::<32>().0.to_vec();
        Ok(Some(Parts { bytes: u64::try_from(bytes).unwrap_or(0), sums }))
    }

    async fn part(&mut self, sum: &Sha) -> Result<Option<Vec<u8>>, NotMet> {
        let rows = self.rows("SELECT bytes FROM solderlast.part WHERE sum = $1", &[&sum.as_slice()]).await?;
        rows.first().map(|row| row.try_get(0)).transpose().map_err(|error| told(&error))
    }

    async fn parts_there(&mut self, sums: &[Sha]) -> Result<Vec<Sha>, NotMet> {
        let asked: Vec<&[u8]> = sums.iter().map(<[u8; 32]>::as_slice).collect();
        let rows = self.rows("SELECT sum FROM solderlast.part WHERE sum = ANY($1)", &[&asked]).await?;
        rows.iter().map(|row| sum_in(row, 0, "a part of a file")).collect()
    }

    async fn add_part(&mut self, sum: &Sha, bytes: &[u8]) -> Result<(), NotMet> {
        let insert = "INSERT INTO solderlast.part (sum, bytes) VALUES ($1, $2) ON CONFLICT (sum) DO NOTHING";
        self.write(insert, &[&sum.as_slice(), &bytes]).await
    }

    async fn add_file(&mut self, sum: &Sha, parts: &Parts) -> Result<(), NotMet> {
        let insert = "INSERT INTO solderlast.file (sum, bytes, parts, parts_sum) VALUES ($1, $2, $3, $4)
            ON CONFLICT (sum, parts_sum) DO NOTHING";
        let (list, parts_sum) = (parts.sums.concat(), parts.sum());
        let bytes = i64::try_from(parts.bytes).unwrap_or(i64::MAX);
        self.write(insert, &[&sum.as_slice(), &bytes, &list, &parts_sum.as_slice()]).await
    }

    async fn erasures_after(&mut self, number: i64, most: usize) -> Result<Vec<ErasedThere>, NotMet> {
        let limit = i64::try_from(most).unwrap_or(i64::MAX);
        let question = "SELECT number, thing, about, account::text FROM solderlast.erasure WHERE number > $1 ORDER BY number LIMIT $2";
        let rows = self.rows(question, &[&number, &limit]).await?;
        let read = |row: &Row| {
            let (number, thing, about, account) = (row.try_get(0)?, row.try_get(1)?, row.try_get(2)?, row.try_get(3)?);
            Ok::<_, tokio_postgres::Error>(ErasedThere { number, thing, about, account })
        };
        rows.iter().map(read).collect::<Result<_, _>>().map_err(|error| told(&error))
    }

    async fn add_erasures(&mut self, erasures: &[Erasure]) -> Result<(), NotMet> {
        let about: Vec<Uuid> = erasures.iter().map(|erasure| erasure.about.uuid()).collect();
        let things: Vec<&str> = erasures.iter().map(|erasure| erasure.about.word()).collect();
        let at: Vec<i64> = erasures.iter().map(|erasure| erasure.at.timestamp_micros()).collect();
        let benches: Vec<Uuid> = erasures.iter().map(|erasure| erasure.bench.0).collect();
        let insert = "INSERT INTO solderlast.erasure (about, thing, at, bench)
            SELECT a, t, 'epoch'::timestamptz + m * interval '1 microsecond', b
            FROM unnest($1::uuid[], $2::text[], $3::bigint[], $4::uuid[]) AS x (a, t, m, b) ON CONFLICT (about) DO NOTHING";
        self.write(insert, &[&about, &things, &at, &benches]).await
    }
}

/// A column that is a SHA-256.
fn sum_in(row: &Row, column: usize, of: &str) -> Result<Sha, NotMet> {
    let sum: &[u8] = row.try_get(column).map_err(|error| told(&error))?;
    sum.try_into().map_err(|_| NotMet::untrue(&format!("{of} does not have a sum as it should")))
}

fn head(row: &Row) -> Result<Head, NotMet> {
    let number: i64 = row.try_get(0).map_err(|error| told(&error))?;
    let id = row.try_get(1).map_err(|error| told(&error))?;
    if row.try_get(4).map_err(|error| told(&error))? {
        return Ok(Head { number, id, sum: Sha::default(), length: 0, erased: true });
    }
    let sum: &[u8] = row.try_get(2).map_err(|error| told(&error))?;
    let length: i32 = row.try_get(3).map_err(|error| told(&error))?;
    let sum = sum
        .try_into()
        .map_err(|_| NotMet::untrue(&format!("entry {number} does not have the sum that stands beside it")))?;
    let length = usize::try_from(length).unwrap_or(usize::MAX);
    if length > LONGEST_LINE {
        return Err(NotMet::untrue(&format!("entry {number} is longer than any entry is")));
    }
    Ok(Head { number, id, sum, length, erased: false })
}
