//! One schedule: phones, tabs, network and server, moved on one step at a time by chance.
use crate::chance::Chance;
use crate::phone::{SimPhone, setting};
use crate::server::Server;
use std::collections::{BTreeMap, BTreeSet};
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::sync::wire::{Feed, Taken};
use tripoise_core::sync::{Question, Reads, Round, WaitState, Write};

/// Noon of 2026-03-15, in milliseconds since 1970.
const START_MS: i64 = 1_773_576_000_000;

/// What happened, so that a test can see that the schedules are worth running.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    pub lost: u64,
    pub doubled: u64,
    pub overtaken: u64,
    pub restores: u64,
    pub crashes: u64,
    pub refused: u64,
    pub set_back: u64,
    pub stale: u64,
    pub mended: u64,
    pub forms: u64,
}

impl Tally {
    pub fn add(&mut self, other: &Self) {
        self.lost += other.lost;
        self.doubled += other.doubled;
        self.overtaken += other.overtaken;
        self.restores += other.restores;
        self.crashes += other.crashes;
        self.refused += other.refused;
        self.set_back += other.set_back;
        self.stale += other.stale;
        self.mended += other.mended;
        self.forms += other.forms;
    }
}

/// Something under way. The number tells a tab whether it still waits for it.
#[derive(Clone)]
struct Message {
    number: u64,
    phone: usize,
    tab: usize,
    life: u64,
    question: Question,
    /// The server's answer, once it has been there.
    answer: Option<String>,
}

pub struct Studio {
    pub server: Server,
    pub phones: Vec<SimPhone>,
    /// Whatever a phone has said is on this phone, or a server's form has been answered for and a phone has
    /// seen before a restore: it must be there at the end.
    pub must: BTreeMap<EventId, Option<usize>>,
    pub marks: BTreeSet<String>,
    pub tally: Tally,
    chance: Chance,
    network: Vec<Message>,
    now_ms: i64,
    mark: u64,
    n_messages: u64,
    tell: bool,
}

impl Studio {
    pub fn new(seed: u64, tell: bool) -> Self {
        let mut chance = Chance::new(seed);
        let server = Server::new(DeviceId(chance.uuid())).unwrap_or_else(|cause| panic!("{cause}"));
        let n_phones = 1 + chance.index(3);
        let phones = (0..n_phones).map(|_| SimPhone::new(&mut chance)).collect();
        Self {
            server,
            phones,
            must: BTreeMap::new(),
            marks: BTreeSet::new(),
            tally: Tally::default(),
            chance,
            network: Vec::new(),
            now_ms: START_MS,
            mark: 0,
            n_messages: 0,
            tell,
        }
    }

    fn say(&self, what: impl FnOnce() -> String) {
        if self.tell {
            println!("{}", what());
        }
    }

    /// Some dozens of steps.
    pub fn live(&mut self) -> Result<(), String> {
        let n_steps = 20 + self.chance.below(80);
        for _ in 0..n_steps {
            self.now_ms += i64::try_from(self.chance.below(20_000)).unwrap_or(0);
            if self.chance.one_in(20) {
                self.now_ms += 3_600_000 * i64::try_from(self.chance.below(30)).unwrap_or(0);
            }
            self.step()?;
        }
        Ok(())
    }

    fn step(&mut self) -> Result<(), String> {
        let phone = self.chance.index(self.phones.len());
        let tab = self.chance.index(2);
        match self.chance.below(40) {
            0..=7 => self.record(phone),
            8..=19 => self.ask(phone, tab),
            20..=33 => self.deliver(),
            34 => {
                self.crash(phone, tab);
                Ok(())
            }
            35 => {
                self.say(|| format!("phone {phone} tab {tab} gives up waiting"));
                self.phones[phone].tabs[tab].asked = None;
                self.phones[phone].tabs[tab].round = None;
                Ok(())
            }
            36 => {
                self.phones[phone].set_clock(&mut self.chance);
                self.say(|| format!("phone {phone}'s clock is {} ms off", self.phones[phone].off_ms));
                Ok(())
            }
            37 => {
                self.say(|| "backup".to_owned());
                self.server.back_up()
            }
            38 => self.restore(),
            _ => self.server_form(),
        }
    }

    /// A form on a phone. Now and then the phone stops before the transaction is through.
    fn record(&mut self, phone: usize) -> Result<(), String> {
        let drafts = self.phones[phone].fill_in(&mut self.chance, &mut self.mark);
        let now_ms = self.now_ms + self.phones[phone].off_ms;
        let (records, write) = self.phones[phone].held.record(drafts, now_ms)?;
        if self.chance.one_in(10) {
            self.say(|| format!("phone {phone} stops before its form is on it"));
            self.crash(phone, 0);
            return Ok(());
        }
        self.tally.forms += u64::from(records.len() > 1);
        self.phones[phone].held.apply(&write);
        for record in &records {
            self.say(|| format!("phone {phone} records {} {} {}", record.id, record.kind, record.body));
            self.must.insert(record.id, Some(phone));
        }
        self.marks.extend(crate::phone::marks(records.iter()).into_keys());
        Ok(())
    }

    fn server_form(&mut self) -> Result<(), String> {
        self.mark += 1;
        let records = self.server.record(setting(self.mark), self.now_ms)?;
        self.say(|| format!("the server records mark {}", self.mark));
        self.marks.extend(crate::phone::marks(records.iter()).into_keys());
        Ok(())
    }

    /// A tab goes on with its round, or begins one.
    fn ask(&mut self, phone: usize, tab: usize) -> Result<(), String> {
        let SimPhone { held, tabs, .. } = &mut self.phones[phone];
        let state = &mut tabs[tab];
        if state.asked.is_some() {
            return Ok(());
        }
        let round = state.round.get_or_insert_with(Round::default);
        let Some(question) = round.next(held) else {
            state.round = None;
            return Ok(());
        };
        self.n_messages += 1;
        state.asked = Some((self.n_messages, question.clone()));
        let (number, life) = (self.n_messages, state.life);
        self.say(|| format!("phone {phone} tab {tab} asks {number}: {}", short(&question)));
        self.network.push(Message { number, phone, tab, life, question, answer: None });
        Ok(())
    }

    /// The network delivers, loses or doubles one of what is under way, in any order.
    fn deliver(&mut self) -> Result<(), String> {
        if self.network.is_empty() {
            return Ok(());
        }
        let idx = self.chance.index(self.network.len());
        self.tally.overtaken += u64::from(idx > 0);
        if self.chance.one_in(6) {
            let message = self.network.remove(idx);
            self.say(|| format!("message {} is lost", message.number));
            self.tally.lost += 1;
            return Ok(());
        }
        let message = if self.chance.one_in(6) {
            self.tally.doubled += 1;
            self.network[idx].clone()
        } else {
            self.network.remove(idx)
        };
        self.arrive(message)
    }

    fn arrive(&mut self, mut message: Message) -> Result<(), String> {
        if message.answer.is_none() {
            message.answer = Some(self.serve(&message.question)?);
            self.say(|| format!("the server answers {}", message.number));
            self.network.push(message);
            return Ok(());
        }
        if self.phones[message.phone].tabs[message.tab].life != message.life {
            return Ok(());
        }
        let before_write = self.chance.one_in(15);
        let after_write = self.chance.one_in(15);
        if before_write {
            self.crash(message.phone, message.tab);
            return Ok(());
        }
        self.take(&message)?;
        if after_write {
            self.crash(message.phone, message.tab);
        }
        Ok(())
    }

    fn serve(&mut self, question: &Question) -> Result<String, String> {
        match question {
            Question::Push(push) => {
                let json = serde_json::to_string(&push.records).map_err(|cause| cause.to_string())?;
                self.server.post(&json, push.all_or_none, self.now_ms)
            }
            Question::Pull(pull) => self.server.get(&pull.asked, 1 + self.chance.index(6)),
        }
    }

    /// A tab reads an answer: in one transaction, on what the store holds at this moment.
    fn take(&mut self, message: &Message) -> Result<bool, String> {
        let answer = message.answer.as_deref().unwrap_or_default();
        let SimPhone { held, tabs, .. } = &mut self.phones[message.phone];
        let tab = &mut tabs[message.tab];
        let awaited = tab.asked.as_ref().is_some_and(|(number, _)| *number == message.number);
        let write = match &message.question {
            Question::Push(push) => {
                let taken: Taken = serde_json::from_str(answer).map_err(|cause| cause.to_string())?;
                self.tally.stale += u64::from(push.generation != held.phone.generation);
                let write = held.take_push(push, &taken);
                if let Some(round) = tab.round.as_mut().filter(|_| awaited) {
                    round.pushed(!write.is_empty());
                }
                write
            }
            Question::Pull(pull) => {
                let feed: Feed = serde_json::from_str(answer).map_err(|cause| cause.to_string())?;
                self.tally.stale += u64::from(pull.generation != held.phone.generation);
                let mut read = held.clone();
                if let Reads::Tail(key) = held.phone.reads(&feed) {
                    // The store reads no more than it is told to.
                    read.chunks.retain(|other, _| *other == key);
                }
                let write = read.take_pull(pull, &feed);
                if let Some(round) = tab.round.as_mut().filter(|_| awaited) {
                    round.pulled(feed.more);
                }
                write
            }
        };
        if awaited {
            tab.asked = None;
        }
        self.count(message.phone, &write);
        self.phones[message.phone].held.apply(&write);
        self.say(|| format!("phone {} takes {}: {}", message.phone, message.number, told(&write)));
        Ok(!write.is_empty())
    }

    fn count(&mut self, phone: usize, write: &Write) {
        let device = self.phones[phone].held.phone.device;
        for entry in &write.put_waiting {
            self.tally.refused += u64::from(matches!(entry.state, WaitState::Refused { .. }));
            self.tally.set_back += u64::from(entry.record.hlc_claimed.is_some());
            let known = self.phones[phone].held.waiting.contains_key(&entry.record.id);
            self.tally.mended += u64::from(entry.record.device != device && !known);
        }
    }

    /// A tab stops, or the whole phone does.
    fn crash(&mut self, phone: usize, tab: usize) {
        self.tally.crashes += 1;
        let whole = self.chance.one_in(3);
        self.say(|| {
            format!("phone {phone} {}", if whole { "stops".into() } else { format!("tab {tab} stops") })
        });
        let tabs = &mut self.phones[phone].tabs;
        if whole {
            tabs.iter_mut().for_each(crate::phone::Tab::stop);
        } else {
            tabs[tab].stop();
        }
    }

    fn restore(&mut self) -> Result<(), String> {
        self.tally.restores += 1;
        for phone in &self.phones {
            for record in phone.held.records() {
                self.must.entry(record.id).or_insert(None);
            }
        }
        let before = self.server.records()?;
        self.server.restore(&mut self.chance)?;
        let after = self.server.records()?;
        self.say(|| format!("the server goes back from {} events to {}", before.len(), after.len()));
        // A form that only the server had is gone with it; nobody is left to offer it.
        let gone =
            before.iter().filter(|record| !self.must.contains_key(&record.id) && !after.contains(record));
        for mark in crate::phone::marks(gone).into_keys() {
            self.marks.remove(&mark);
        }
        Ok(())
    }

    /// The network works and nobody stops: rounds until a pass over all phones changes nothing.
    pub fn settle(&mut self) -> Result<(), String> {
        // House choice: a chain of entries, each needing another phone's, is as long as there are entries.
        const MAX_PASSES: usize = 200;
        self.say(|| "settling".to_owned());
        self.network.clear();
        for phone in &mut self.phones {
            phone.tabs.iter_mut().for_each(crate::phone::Tab::stop);
        }
        for _ in 0..MAX_PASSES {
            let mut changed = false;
            for phone in 0..self.phones.len() {
                changed |= self.whole_round(phone)?;
            }
            if !changed {
                return Ok(());
            }
        }
        Err(format!("after {MAX_PASSES} passes something still changes"))
    }

    fn whole_round(&mut self, phone: usize) -> Result<bool, String> {
        const MAX_QUESTIONS: usize = 2_000;
        let mut changed = false;
        for _ in 0..MAX_QUESTIONS {
            self.ask(phone, 0)?;
            let Some(mut message) = self.network.pop() else { return Ok(changed) };
            message.answer = Some(self.serve(&message.question)?);
            self.now_ms += 10;
            changed |= self.take(&message)?;
        }
        Err(format!("phone {phone} still asks after {MAX_QUESTIONS} questions"))
    }

    pub fn now_ms(&self) -> i64 {
        self.now_ms
    }
}

fn short(question: &Question) -> String {
    match question {
        Question::Push(push) => {
            let ids: Vec<String> = push.records.iter().map(|record| record.id.to_string()).collect();
            format!("push in generation {}: {}", push.generation, ids.join(" "))
        }
        Question::Pull(pull) => format!("pull in generation {} since {}", pull.generation, pull.asked.since),
    }
}

fn told(write: &Write) -> String {
    let states: Vec<String> =
        write.put_waiting.iter().map(|entry| format!("{} {:?}", entry.record.id, entry.state)).collect();
    let phone = write.phone.as_ref().map(|phone| (phone.generation, phone.cursor));
    format!(
        "(generation, cursor) {phone:?}, waiting {states:?}, gone {:?}, {} chunks",
        write.drop_waiting,
        write.put_chunks.len()
    )
}
