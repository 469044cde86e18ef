//! Keeping up with a shared log while a log is open: what a person at this computer chose, kept beside the log, and the thread that
//! does it. Work goes on whatever becomes of it.
//!
//! The choice lies in a file that its owner alone may read; the password lies there too, or nowhere. Each program that has the log
//! open follows that file, so what is chosen in one holds for all.

mod asked;

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use solderlast_core::clock::{Clock as _, version_7};
use solderlast_core::private;
use solderlast_meet::{
    Address, ClockOff, Exchanged, KeepUp, Meeting, News, NotMet, Patience, Reason, Secret, Shared, keep_up,
};
use tokio::sync::Notify;

pub use self::asked::{Action, Asks, SharedLog, Standing, Wish, waits};
use crate::disk::{Kept, off_the_loop};
use crate::machine::{SystemClock, SystemDice};
use crate::refusal::{Code, Refusal, granted};

/// How often the file is looked at for what another program wrote there.
const LOOKED_AT: Duration = Duration::from_secs(2);
/// What somebody else may have mended is tried again after so long.
const AGAIN: Duration = Duration::from_mins(10);
/// When it last met is kept to within this.
const OFTEN: chrono::TimeDelta = chrono::TimeDelta::minutes(1);
/// The file that tells when it last met.
const LAST: &str = "meet.last";

/// What a person chose, as it lies beside the log. It is shown nowhere.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Chosen {
    address: String,
    password: Option<String>,
    keep_password: bool,
}

/// The shared log of one open log.
pub struct Sharing {
    followed: Arc<Followed>,
    thread: Mutex<Option<JoinHandle<()>>>,
}

/// What the thread and who asks it have in common.
struct Followed {
    folder: PathBuf,
    file: Kept,
    told: Mutex<Told>,
    /// Something else was chosen, or it is the end.
    changed: Notify,
    /// It shall meet now.
    now: Notify,
}

#[derive(Default)]
struct Told {
    /// A password that is kept nowhere, for the address it was typed for.
    password: Option<(String, String)>,
    /// Whether two logs become one, said once.
    join: bool,
    /// Whether much that others erased goes here too, said once.
    erase: bool,
    erased_elsewhere: Option<String>,
    ended: bool,
    standing: Standing,
    trouble: Option<String>,
    asks: Option<Asks>,
    last_met: Option<DateTime<Utc>>,
    noted: Option<DateTime<Utc>>,
    moved: Option<String>,
    /// What moved while photos or takes are on their way still.
    under_way: Option<Exchanged>,
    clock: Option<ClockOff>,
}

impl Sharing {
    /// That of the log in this folder. Nothing is met before [`Sharing::goes_on`].
    #[must_use]
    pub fn of(log_folder: &Path) -> Self {
        let followed = Followed {
            folder: log_folder.to_path_buf(),
            file: Kept::beside(log_folder, "meet.json", "meet.lock"),
            told: Mutex::default(),
            changed: Notify::new(),
            now: Notify::new(),
        };
        Self { followed: Arc::new(followed), thread: Mutex::default() }
    }

    /// Goes on with what was chosen before; without that nothing is begun.
    pub fn goes_on(&self) {
        if self.followed.chosen().is_some() {
            self.follow();
        }
    }

    /// Does one thing and answers, as JSON, what to show: `{"ok": SharedLog}` or `{"refused": …}`.
    pub async fn does(self: &Arc<Self>, wish: Wish) -> Vec<u8> {
        let sharing = Arc::clone(self);
        match off_the_loop(move || sharing.done(wish)).await.and_then(|done| done) {
            Ok(shown) => granted(&shown),
            Err(refusal) => refusal.answer(),
        }
    }

    fn done(&self, wish: Wish) -> Result<SharedLog, Refusal> {
        match wish.action {
            Action::Status => self.goes_on(),
            Action::Meet => self.meet(wish)?,
            Action::Password => {
                let chosen = self.followed.chosen().ok_or_else(not_shared)?;
                self.meet(Wish { address: chosen.address, ..wish })?;
            }
            Action::Join => self.agree(
                |told| told.asks == Some(Asks::Join),
                |told| told.join = true,
                "Nothing asks whether two logs become one. Look how it stands now.",
            )?,
            Action::Erase => self.agree(
                |told| told.erased_elsewhere.is_some(),
                |told| told.erase = true,
                "Nothing that others erased waits here. Look how it stands now.",
            )?,
            Action::Now => {
                self.followed.chosen().ok_or_else(not_shared)?;
                self.followed.told().meets();
                self.followed.now.notify_one();
                self.follow();
            }
            Action::Stop => self.stop()?,
        }
        Ok(self.followed.shown())
    }

    /// Says yes, once, to what is asked for, and meets; refuses with this sentence where nothing asks.
    fn agree(
        &self,
        asked: impl FnOnce(&Told) -> bool,
        yes: impl FnOnce(&mut Told),
        nothing_asks: &str,
    ) -> Result<(), Refusal> {
        let mut told = self.followed.told();
        if !asked(&told) {
            return Err(Refusal::new(Code::NotNow, nothing_asks));
        }
        yes(&mut told);
        told.meets();
        drop(told);
        self.followed.now.notify_one();
        Ok(())
    }

    fn meet(&self, wish: Wish) -> Result<(), Refusal> {
        let Wish { address, password, keep_password, .. } = wish;
        let address = address.trim().to_owned();
        Address::read(&address).map_err(|not_met| Refusal::unclear("address", not_met.sentence))?;
        let typed = Some(password).filter(|password| !password.is_empty());
        let chosen =
            Chosen { address: address.clone(), password: typed.clone().filter(|_| keep_password), keep_password };
        self.followed.file.change(|_| Ok((Some(serde_json::to_vec(&chosen)?), ()))).map_err(|error| unkept(&error))?;
        let mut told = self.followed.told();
        *told = Told {
            password: typed.filter(|_| !keep_password).map(|password| (address, password)),
            last_met: told.last_met,
            noted: told.noted,
            ..Told::default()
        };
        told.meets();
        drop(told);
        self.followed.changed.notify_one();
        self.follow();
        Ok(())
    }

    fn stop(&self) -> Result<(), Refusal> {
        let removed = self.followed.file.remove(&[LAST]);
        removed.map_err(|error| unkept(&error))?;
        *self.followed.told() = Told::default();
        self.followed.changed.notify_one();
        Ok(())
    }

    /// Sees to it that there is a thread that follows what was chosen.
    fn follow(&self) {
        let mut thread = self.thread.lock().unwrap_or_else(PoisonError::into_inner);
        if thread.as_ref().is_some_and(|thread| !thread.is_finished()) || self.followed.told().ended {
            return;
        }
        let followed = Arc::clone(&self.followed);
        let begun = std::thread::Builder::new().name("shared log".to_owned()).spawn(move || followed.follow());
        match begun {
            Ok(begun) => *thread = Some(begun),
            Err(error) => {
                self.followed.told().is_stuck(format!("The shared log can't be met now: {error}. Try again."))
            }
        }
    }

    /// Ends it; what is under way is given up between two batches, and taken up by the next start.
    pub async fn close(&self) {
        self.followed.end();
        let thread = self.thread.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(thread) = thread {
            // One that died has nothing left to end.
            let _ = off_the_loop(move || thread.join()).await;
        }
    }
}

impl Drop for Sharing {
    fn drop(&mut self) {
        self.followed.end();
    }
}

fn not_shared() -> Refusal {
    Refusal::new(Code::NotNow, "This bench shares no log.")
}

fn unkept(error: &io::Error) -> Refusal {
    Refusal::new(Code::Disk, format!("This could not be kept beside the log: {error}. Nothing was changed."))
}

impl Told {
    fn meets(&mut self) {
        (self.standing, self.trouble, self.asks) = (Standing::Meeting, None, None);
    }

    fn is_stuck(&mut self, why: String) {
        (self.standing, self.trouble, self.under_way) = (Standing::Stuck, Some(why), None);
    }
}

impl Followed {
    fn told(&self) -> MutexGuard<'_, Told> {
        // What a thread that died was about to say is said by the next one.
        self.told.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What was chosen. A file that can't be read is as good as none: a person chooses anew.
    fn chosen(&self) -> Option<Chosen> {
        self.file.read().and_then(|text| serde_json::from_slice(&text).ok())
    }

    fn end(&self) {
        self.told().ended = true;
        self.changed.notify_one();
    }

    fn shown(&self) -> SharedLog {
        let Some(chosen) = self.chosen() else { return SharedLog::default() };
        let waiting = Shared::open(&self.folder).and_then(|here| here.waiting()).ok().map(waits);
        let name = Address::read(&chosen.address).ok().map(|address| address.shown());
        let told = self.told();
        SharedLog {
            standing: if told.standing == Standing::Off { Standing::Meeting } else { told.standing },
            address: Some(chosen.address),
            name,
            keeps_password: chosen.keep_password,
            trouble: told.trouble.clone(),
            asks: told.asks,
            erased_elsewhere: told.erased_elsewhere.clone(),
            last_met: told.last_met.or_else(|| self.last()),
            moved: told.moved.clone(),
            clock: told.clock.map(ClockOff::in_words),
            waiting,
        }
    }

    /// When it last met, as it was noted.
    fn last(&self) -> Option<DateTime<Utc>> {
        std::fs::read_to_string(self.folder.join(LAST)).ok()?.trim().parse().ok()
    }

    /// Keeps up with what is chosen until it is told to end.
    fn follow(&self) {
        match tokio::runtime::Builder::new_current_thread().enable_all().build() {
            Ok(runtime) => runtime.block_on(self.keeps_up()),
            Err(error) => self.told().is_stuck(format!("The shared log can't be met now: {error}. Try again.")),
        }
    }

    async fn keeps_up(&self) {
        loop {
            if self.told().ended {
                return;
            }
            let chosen = self.chosen();
            let Some(ref at) = chosen else {
                self.told().standing = Standing::Off;
                self.other_than(None).await;
                continue;
            };
            let not_met = tokio::select! {
                () = self.other_than(chosen.as_ref()) => continue,
                not_met = self.met(at) => not_met,
            };
            let later = self.is_stuck(not_met);
            tokio::select! {
                () = self.other_than(chosen.as_ref()) => {}
                () = self.now.notified() => {}
                () = tokio::time::sleep(AGAIN), if later => {}
            }
        }
    }

    /// Waits until something else is chosen than this, here or by another program, or until it is the end.
    async fn other_than(&self, chosen: Option<&Chosen>) {
        let by_another = async {
            while self.chosen().as_ref() == chosen {
                tokio::time::sleep(LOOKED_AT).await;
            }
        };
        tokio::select! {
            () = self.changed.notified() => {}
            () = by_another => {}
        }
    }

    /// Keeps up with the shared log at this address until something is wrong that does not pass by itself.
    async fn met(&self, chosen: &Chosen) -> NotMet {
        let address = match Address::read(&chosen.address) {
            Ok(address) => address,
            Err(not_met) => return not_met,
        };
        let secret = {
            let mut told = self.told();
            told.meets();
            let typed = told.password.as_ref().filter(|(at, _)| *at == chosen.address).map(|(_, typed)| typed.clone());
            chosen.password.clone().or(typed).map(|password| Secret::new(&password))
        };
        let keep =
            KeepUp { folder: &self.folder, address: &address, secret: secret.as_ref(), patience: Patience::default() };
        let wish = || {
            let now = SystemClock.now();
            let told = self.told();
            solderlast_meet::Wish { join: told.join, erase: told.erase, now, tray: version_7(now, &SystemDice) }
        };
        let Err(not_met) = keep_up(keep, &self.now, wish, |news| self.hears(news)).await;
        not_met
    }

    fn hears(&self, news: News) {
        let now = SystemClock.now();
        let mut told = self.told();
        match news {
            News::Met(Meeting { exchanged, clock }) => {
                told.clock = clock;
                match exchanged.waits_in_words() {
                    Some(waits) => told.erased_elsewhere = Some(waits),
                    None if exchanged.lie_here_still == 0 => told.erased_elsewhere = None,
                    None => {}
                }
                let before = told.under_way.take();
                let goes_on = before.is_some() || exchanged.more;
                let exchanged = match before {
                    Some(before) => before.and(exchanged),
                    None => exchanged,
                };
                if exchanged.is_anything() || told.moved.is_none() || exchanged.kept_back > 0 || goes_on {
                    told.moved = Some(exchanged.in_words());
                }
                told.under_way = Some(exchanged).filter(|exchanged| exchanged.more);
                // Said for this meeting, and for no other log that may stand at this address later.
                (told.join, told.erase) = (false, false);
                (told.standing, told.trouble, told.asks, told.last_met) = (Standing::Met, None, None, Some(now));
                let due = told.noted.is_none_or(|noted| (now - noted).abs() >= OFTEN);
                if due {
                    told.noted = Some(now);
                    drop(told);
                    // It is a help: that it can't be noted keeps nobody from meeting.
                    let noted = private::file(&self.folder.join(LAST));
                    let _ = noted.and_then(|mut file| writeln!(file, "{}", now.to_rfc3339()));
                }
            }
            News::Away { why, .. } => {
                (told.standing, told.trouble, told.under_way) = (Standing::Away, Some(why), None);
            }
        }
    }

    /// Says what is wrong; answers whether it may be otherwise later with nobody doing anything here.
    fn is_stuck(&self, not_met: NotMet) -> bool {
        let mut told = self.told();
        (told.join, told.erase) = (false, false);
        let (asks, how) = match not_met.reason {
            Reason::NoPassword => (Some(Asks::Password), " Type it here."),
            Reason::OtherLog => (Some(Asks::Join), ""),
            _ => (None, ""),
        };
        told.asks = asks;
        told.is_stuck(format!("{}{how}", not_met.sentence));
        !matches!(not_met.reason, Reason::NoPassword | Reason::OtherLog | Reason::Address | Reason::PasswordInAddress)
    }
}
