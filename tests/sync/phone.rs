//! A phone: what its store holds, and the tabs that work on it.
use crate::chance::Chance;
use std::collections::BTreeMap;
use tripoise_core::code::Code;
use tripoise_core::event::values::{Fuel, Instrument, Material, Piece, PostSection, Typed};
use tripoise_core::event::{
    Body, Event, EventsWithdrawn, KilnAdded, NoteAdded, PostAdded, PostMeasured, SettingChanged,
};
use tripoise_core::ids::{DeviceId, EventId, KilnId, PostId};
use tripoise_core::settings::SettingKey;
use tripoise_core::sync::{Draft, Held, Phone, Question, Round};
use tripoise_core::units::Length;
use tripoise_core::world::World;

/// A tab: everything here is gone when it stops.
#[derive(Default)]
pub struct Tab {
    /// Which life of the tab: answers to an earlier one find nobody.
    pub life: u64,
    pub round: Option<Round>,
    /// The question that it waits for an answer to.
    pub asked: Option<(u64, Question)>,
}

impl Tab {
    pub fn stop(&mut self) {
        *self = Self { life: self.life + 1, ..Self::default() };
    }
}

pub struct SimPhone {
    /// What the store holds: all that a stop leaves.
    pub held: Held,
    pub tabs: [Tab; 2],
    /// How far its clock is off.
    pub off_ms: i64,
}

impl SimPhone {
    pub fn new(chance: &mut Chance) -> Self {
        let phone = Phone::new(DeviceId(chance.uuid()));
        let mut new = Self { held: Held::new(phone), tabs: <[Tab; 2]>::default(), off_ms: 0 };
        new.set_clock(chance);
        new
    }

    /// Right, seconds off, or about a day off, before or behind.
    pub fn set_clock(&mut self, chance: &mut Chance) {
        const HOUR_MS: i64 = 3_600_000;
        const OFF: [i64; 8] = [0, 0, 2_000, -2_000, 23 * HOUR_MS, 25 * HOUR_MS, -25 * HOUR_MS, 49 * HOUR_MS];
        self.off_ms = chance.pick(&OFF).copied().unwrap_or(0);
    }

    /// The entries of a form, on what this phone knows.
    pub fn fill_in(&self, chance: &mut Chance, mark: &mut u64) -> Vec<Draft> {
        let records: Vec<_> = self.held.records().cloned().collect();
        let (world, _) = World::fold(&records);
        let n_entries = if chance.one_in(4) { 2 + chance.below(2) } else { 1 };
        let mut drafts = Vec::new();
        for _ in 0..n_entries {
            *mark += 1;
            let (body, corrects) = entry(&world, chance, *mark);
            drafts.push(Draft { id: EventId(chance.uuid()), body, corrects });
        }
        drafts
    }
}

/// One entry. Its mark stands in it, so that a doubled entry is seen whatever its id.
fn entry(world: &World, chance: &mut Chance, mark: u64) -> (Body, Option<EventId>) {
    let kilns: Vec<KilnId> = world.kilns.keys().copied().collect();
    let posts: Vec<PostId> = world.posts.keys().copied().collect();
    let entries: Vec<&Event> = world.log.iter().map(|entry| &*entry.event).collect();
    let settings: Vec<EventId> = entries
        .iter()
        .filter(|event| matches!(event.body, Body::SettingChanged(_)))
        .map(|event| event.id)
        .collect();
    let alone = |body: Body| (body, None);
    match chance.below(10) {
        0 => alone(kiln(chance, mark)),
        1 | 2 => match chance.pick(&kilns) {
            Some(kiln) => alone(post(chance, *kiln, mark)),
            None => alone(kiln(chance, mark)),
        },
        3 | 4 => match chance.pick(&posts) {
            Some(post) => alone(height(*post, mark)),
            None => alone(setting(mark)),
        },
        5 => match chance.pick(&posts) {
            Some(post) => alone(note(*post, mark)),
            None => alone(setting(mark)),
        },
        6 => match chance.pick(&settings) {
            Some(target) => (setting(mark), Some(*target)),
            None => alone(setting(mark)),
        },
        7 => match chance.pick(&entries) {
            Some(target) => {
                alone(EventsWithdrawn { events: vec![target.id], reason: format!("mark {mark}") }.into())
            }
            None => alone(setting(mark)),
        },
        _ => alone(setting(mark)),
    }
}

pub fn setting(mark: u64) -> Body {
    let value = i64::try_from(500_000 + mark * 10_000).unwrap_or(500_000);
    SettingChanged { key: SettingKey::SpreadGood, value, text: String::new(), reason: format!("mark {mark}") }
        .into()
}

/// Few names, so that two phones sometimes choose the same and the server refuses one.
fn kiln(chance: &mut Chance, mark: u64) -> Body {
    let name =
        if chance.one_in(2) { format!("kiln {}", chance.below(3)) } else { format!("kiln mark {mark}") };
    let usual_cone = "6".to_owned().try_into().unwrap_or_else(|_| panic!("6 is a cone"));
    KilnAdded { kiln: KilnId(chance.uuid()), name, fuel: Fuel::Electric, usual_cone }.into()
}

fn post(chance: &mut Chance, kiln: KilnId, mark: u64) -> Body {
    let code = format!("P{:02}", 1 + if chance.one_in(3) { chance.below(4) } else { mark % 90 });
    PostAdded {
        post: PostId(chance.uuid()),
        code: Code::read(&code).unwrap_or_else(|_| panic!("{code} is a code")),
        material: Material::Cordierite,
        nominal_nm: Length::from_mm(150.0),
        section: PostSection::Square,
        width_nm: Length::from_mm(40.0),
        price_cents: None,
        bought_on: None,
        firings_before: 0,
        kiln,
        place: format!("mark {mark}"),
    }
    .into()
}

fn height(post: PostId, mark: u64) -> Body {
    let height = Typed { nm: Length::from_mm(150.0), text: format!("mark {mark}") };
    PostMeasured { post, height, instrument: Instrument::Caliper, out_of_square: None }.into()
}

fn note(post: PostId, mark: u64) -> Body {
    NoteAdded { piece: Piece::Post(post), text: format!("mark {mark}") }.into()
}

/// How often each mark occurs in records.
pub fn marks<'a>(
    records: impl Iterator<Item = &'a tripoise_core::record::Record>,
) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for record in records {
        let text = record.body.to_string();
        if let Some(mark) = text.split("mark ").nth(1) {
            let mark: String = mark.chars().take_while(char::is_ascii_digit).collect();
            *found.entry(mark).or_default() += 1;
        }
    }
    found
}
