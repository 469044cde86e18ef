//! A shared log in memory, which goes away when it is told to: for tests of the exchange without a server.

use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

use uuid::Uuid;

use crate::log::Erasure;
use crate::log::shared::{Names, Outgoing, Parts, Sha};
use crate::{ErasedThere, FileHead, Head, NotMet, Reason, SharedLog};

/// An entry's number and the entry.
type Held = (i64, Outgoing);

/// A shared log in memory. A clone is another road to the same one.
#[derive(Debug, Clone)]
pub struct InMemory {
    name: Uuid,
    entries: Rc<RefCell<Vec<Held>>>,
    files: Rc<RefCell<Vec<(FileHead, Parts)>>>,
    parts: Rc<RefCell<HashMap<Sha, Vec<u8>>>>,
    parts_moved: Rc<Cell<u64>>,
    erased: Rc<RefCell<Vec<ErasedThere>>>,
    /// How many more requests are answered on this road.
    answers: usize,
    /// Whether the last of them is done although its answer is lost.
    done_all_the_same: bool,
}

impl InMemory {
    /// An empty one of this name.
    #[must_use]
    pub fn new(name: Uuid) -> Self {
        Self {
            name,
            entries: Rc::default(),
            files: Rc::default(),
            parts: Rc::default(),
            parts_moved: Rc::default(),
            erased: Rc::default(),
            answers: usize::MAX,
            done_all_the_same: false,
        }
    }

    /// A road to it that breaks after so many answers; the request that is not answered is done all the same, or not.
    #[must_use]
    pub fn breaking_after(&self, answers: usize, done_all_the_same: bool) -> Self {
        Self { answers, done_all_the_same, ..self.clone() }
    }

    /// The lines that it holds and that are not of what was erased, in the order in which they came.
    #[must_use]
    pub fn held(&self) -> Vec<String> {
        let entries = self.entries.borrow();
        let living = entries.iter().filter(|(_, entry)| !self.is_erased(entry.about));
        living.map(|(_, entry)| entry.line.clone()).collect()
    }

    fn is_erased(&self, about: Uuid) -> bool {
        self.erased.borrow().iter().any(|erased| erased.about == about)
    }

    /// Keeps the first so many entries alone, no file and no erasure, as a server does that is put back from a backup.
    pub fn go_back(&self, to: usize) {
        self.entries.borrow_mut().truncate(to);
        self.files.borrow_mut().clear();
        self.parts.borrow_mut().clear();
        self.erased.borrow_mut().clear();
    }

    /// How many parts of files were handed out or taken in.
    #[must_use]
    pub fn parts_moved(&self) -> u64 {
        self.parts_moved.get()
    }

    /// The names of the files that it holds, in the order in which they came.
    #[must_use]
    pub fn held_files(&self) -> Vec<Sha> {
        self.files.borrow().iter().map(|(head, _)| head.sum).collect()
    }

    /// Counts a request; the road breaks when it has no answer left.
    fn asked(&mut self) -> Result<(), NotMet> {
        self.answers = self.answers.checked_sub(1).ok_or_else(|| NotMet::new(Reason::Away, "The road broke."))?;
        Ok(())
    }
}

impl SharedLog for InMemory {
    async fn name(&mut self) -> Result<Uuid, NotMet> {
        self.asked()?;
        Ok(self.name)
    }

    async fn names(&mut self, up_to: i64) -> Result<Names, NotMet> {
        self.asked()?;
        let entries = self.entries.borrow();
        let read = entries.iter().filter(|(number, ..)| *number <= up_to);
        Ok(read.fold(Names::default(), |names, (_, entry)| names.with(entry.id)))
    }

    async fn after(&mut self, number: i64, most: usize) -> Result<Vec<Head>, NotMet> {
        self.asked()?;
        let entries = self.entries.borrow();
        let behind = entries.iter().filter(|(there, ..)| *there > number).take(most);
        Ok(behind
            .map(|(number, entry)| Head {
                number: *number,
                id: entry.id,
                sum: entry.sum,
                length: entry.line.len(),
                erased: self.is_erased(entry.about),
            })
            .collect())
    }

    async fn lines(&mut self, numbers: &[i64]) -> Result<Vec<(i64, String)>, NotMet> {
        self.asked()?;
        let entries = self.entries.borrow();
        let wanted = entries.iter().filter(|(number, ..)| numbers.contains(number));
        Ok(wanted.map(|(number, entry)| (*number, entry.line.clone())).collect())
    }

    async fn add(&mut self, new: &[Outgoing]) -> Result<(), NotMet> {
        let answered = self.asked();
        if answered.is_ok() || self.done_all_the_same {
            let mut entries = self.entries.borrow_mut();
            for entry in new {
                if entries.iter().all(|(_, there)| there.id != entry.id) && !self.is_erased(entry.about) {
                    let number = entries.last().map_or(0, |(number, ..)| *number) + 3;
                    entries.push((number, entry.clone()));
                }
            }
        }
        answered
    }

    async fn files_after(&mut self, number: i64, most: usize) -> Result<Vec<FileHead>, NotMet> {
        self.asked()?;
        let files = self.files.borrow();
        Ok(files.iter().map(|(head, _)| *head).filter(|head| head.number > number).take(most).collect())
    }

    async fn parts_of(&mut self, number: i64) -> Result<Option<Parts>, NotMet> {
        self.asked()?;
        let files = self.files.borrow();
        Ok(files.iter().find(|(head, _)| head.number == number).map(|(_, parts)| parts.clone()))
    }

    async fn part(&mut self, sum: &Sha) -> Result<Option<Vec<u8>>, NotMet> {
        self.asked()?;
        self.parts_moved.update(|count| count + 1);
        Ok(self.parts.borrow().get(sum).cloned())
    }

    async fn parts_there(&mut self, sums: &[Sha]) -> Result<Vec<Sha>, NotMet> {
        self.asked()?;
        let parts = self.parts.borrow();
        Ok(sums.iter().filter(|sum| parts.contains_key(*sum)).copied().collect())
    }

    async fn add_part(&mut self, sum: &Sha, bytes: &[u8]) -> Result<(), NotMet> {
        let answered = self.asked();
        if answered.is_ok() || self.done_all_the_same {
            self.parts_moved.update(|count| count + 1);
            self.parts.borrow_mut().insert(*sum, bytes.to_vec());
        }
        answered
    }

    async fn add_file(&mut self, sum: &Sha, parts: &Parts) -> Result<(), NotMet> {
        let answered = self.asked();
        if answered.is_ok() || self.done_all_the_same {
            let mut files = self.files.borrow_mut();
            let (number, parts_sum) = (files.last().map_or(0, |(head, _)| head.number) + 3, parts.sum());
            if files.iter().all(|(head, _)| (head.sum, head.parts_sum) != (*sum, parts_sum)) {
                files.push((FileHead { number, sum: *sum, parts_sum }, parts.clone()));
            }
        }
        answered
    }

    async fn erasures_after(&mut self, number: i64, most: usize) -> Result<Vec<ErasedThere>, NotMet> {
        self.asked()?;
        let erased = self.erased.borrow();
        Ok(erased.iter().filter(|erased| erased.number > number).take(most).cloned().collect())
    }

    async fn add_erasures(&mut self, erasures: &[Erasure]) -> Result<(), NotMet> {
        let answered = self.asked();
        if answered.is_ok() || self.done_all_the_same {
            for Erasure { about, .. } in erasures {
                if !self.is_erased(about.uuid()) {
                    let mut erased = self.erased.borrow_mut();
                    let number = erased.last().map_or(0, |last| last.number) + 3;
                    let (thing, account) = (about.word().to_owned(), String::new());
                    erased.push(ErasedThere { number, thing, about: about.uuid(), account });
                }
            }
        }
        answered
    }
}
