//! What each kind of event does to the world. The compiler keeps the list complete.
use super::pieces::{
    Crack, Firing, Hold, Kiln, Post, PostReading, PostSet, Retired, Shelf, ShelfReading, Stamp, Wash,
};
use super::{SkipReason, Subject, World};
use crate::code::Code;
use crate::event::values::{GrindMethod, HoldReason, Piece};
use crate::event::{
    Body, CrackFound, Event, KilnFired, PostAdded, PostMeasured, SettingChanged, ShelfAdded, ShelfGround,
    ShelfMeasured,
};
use crate::ids::{KilnId, PostId, SetId, ShelfId};
use std::fmt::Display;

type Outcome = Result<(), SkipReason>;

fn unknown(what: &'static str, id: impl Display) -> SkipReason {
    SkipReason::Unknown { what, id: id.to_string() }
}

fn twice(what: &'static str, id: impl Display) -> SkipReason {
    SkipReason::Twice { what, id: id.to_string() }
}

/// Whose history an event belongs in.
pub(crate) fn subjects(body: &Body) -> Vec<Subject> {
    match body {
        Body::KilnAdded(b) => vec![Subject::Kiln(b.kiln)],
        Body::ShelfAdded(b) => vec![Subject::Shelf(b.shelf)],
        Body::PostAdded(b) => vec![Subject::Post(b.post)],
        Body::ShelfGraded(b) => vec![Subject::Shelf(b.shelf)],
        Body::ShelfMeasured(b) => vec![Subject::Shelf(b.shelf)],
        Body::PostMeasured(b) => vec![Subject::Post(b.post)],
        Body::SetMade(b) => {
            let posts = b.posts.iter().map(|id| Subject::Post(*id));
            std::iter::once(Subject::Set(b.set)).chain(posts).collect()
        }
        Body::SetParted(b) => vec![Subject::Set(b.set)],
        Body::ShelfGround(b) => vec![Subject::Shelf(b.shelf)],
        Body::PostDressed(b) => vec![Subject::Post(b.post)],
        Body::ShelfWashed(b) => vec![Subject::Shelf(b.shelf)],
        Body::CrackFound(b) => vec![Subject::Shelf(b.shelf)],
        Body::ShelfTapped(b) => vec![Subject::Shelf(b.shelf)],
        Body::ShelfFlipped(b) => vec![Subject::Shelf(b.shelf)],
        Body::PieceHeld(b) => vec![b.piece.into()],
        Body::PieceReleased(b) => vec![b.piece.into()],
        Body::PieceMoved(b) => vec![b.piece.into()],
        Body::PieceRetired(b) => vec![b.piece.into()],
        Body::PieceReturned(b) => vec![b.piece.into()],
        Body::KilnFired(b) => {
            let pieces = b.pieces.iter().map(|piece| Subject::from(*piece));
            let plan = b.plan.map(Subject::Plan);
            [Subject::Kiln(b.kiln), Subject::Firing(b.firing)].into_iter().chain(plan).chain(pieces).collect()
        }
        Body::KilnChamberSet(b) => vec![Subject::Kiln(b.kiln)],
        Body::PlanSaved(b) => vec![Subject::Plan(b.plan)],
        Body::PlanOverruled(b) => vec![Subject::Plan(b.plan)],
        Body::PlanTicked(b) => vec![Subject::Plan(b.plan)],
        Body::PlanDropped(b) => vec![Subject::Plan(b.plan)],
        Body::NoteAdded(b) => vec![b.piece.into()],
        Body::SettingChanged(b) => vec![Subject::Setting(b.key)],
        Body::LabelsMade(b) => b.labels.iter().map(|made| Subject::from(made.on)).collect(),
        Body::FindingNoted(b) => vec![b.piece.into()],
        Body::PhotoTaken(b) => vec![b.piece.into()],
        Body::FiringChecked(b) => vec![Subject::Firing(b.firing)],
        Body::StudioNamed(_) | Body::LabelGridSet(_) | Body::EventsWithdrawn(_) => Vec::new(),
    }
}

impl World {
    /// Applies one event's body at `stamp`. Nothing is changed where an error is returned.
    pub(super) fn apply(&mut self, event: &Event, stamp: Stamp) -> Outcome {
        match &event.body {
            Body::KilnAdded(b) => {
                if self.kilns.contains_key(&b.kiln) {
                    return Err(twice("kiln", b.kiln));
                }
                let kiln = Kiln {
                    id: b.kiln,
                    name: b.name.clone(),
                    fuel: b.fuel,
                    usual_cone: b.usual_cone,
                    inside: None,
                };
                self.kilns.insert(b.kiln, kiln);
                Ok(())
            }
            Body::ShelfAdded(b) => self.add_shelf(b, stamp),
            Body::PostAdded(b) => self.add_post(b, stamp),
            Body::ShelfGraded(b) => self.shelf_mut(b.shelf).map(|shelf| shelf.graded = Some(b.fit_for)),
            Body::ShelfMeasured(b) => self.measure_shelf(b, stamp),
            Body::PostMeasured(b) => self.measure_post(b, stamp),
            Body::SetMade(b) => self.make_set(b, stamp),
            Body::SetParted(b) => {
                let set = self.sets.get_mut(&b.set).ok_or_else(|| unknown("set", b.set))?;
                set.parted.get_or_insert_with(|| (stamp, b.reason.clone()));
                Ok(())
            }
            Body::ShelfGround(b) => self.grind(b, stamp),
            Body::PostDressed(b) => self.post_mut(b.post).map(|post| {
                post.last_dressed = Some(stamp);
                post.readings.iter_mut().for_each(|reading| reading.stale = true);
            }),
            Body::ShelfWashed(b) => self.shelf_mut(b.shelf).map(|shelf| {
                let firings_then = shelf.firings();
                let wash = Wash { recipe: b.recipe.clone(), coats: b.coats, stamp, firings_then };
                shelf.washes.insert(b.face, wash);
            }),
            Body::CrackFound(b) => self.crack(b, stamp),
            Body::ShelfTapped(b) => self.shelf_mut(b.shelf).map(|shelf| shelf.ring = Some((b.ring, stamp))),
            Body::ShelfFlipped(b) => self.shelf_mut(b.shelf).map(|shelf| shelf.up = b.up),
            Body::PieceHeld(b) => {
                let hold = Hold { reason: b.reason, note: b.note.clone(), since: stamp };
                self.hold_mut(b.piece).map(|slot| *slot = Some(hold))
            }
            Body::PieceReleased(b) => self.hold_mut(b.piece).map(|slot| *slot = None),
            Body::PieceMoved(b) => self.move_piece(b.piece, b.kiln, &b.place),
            Body::PieceRetired(b) => {
                let retired = Retired { reason: b.reason, note: b.note.clone(), stamp };
                self.retired_mut(b.piece).map(|slot| *slot = Some(retired))
            }
            Body::PieceReturned(b) => self.retired_mut(b.piece).map(|slot| *slot = None),
            Body::KilnFired(b) => self.fire(b, stamp),
            Body::NoteAdded(b) => self.hold_mut(b.piece).map(|_| ()),
            Body::SettingChanged(b) => self.change_setting(b),
            Body::StudioNamed(b) => {
                self.labels.name_studio(b);
                Ok(())
            }
            Body::LabelsMade(b) => self.make_labels(b, stamp),
            Body::LabelGridSet(b) => {
                self.labels.set_grid(b);
                Ok(())
            }
            Body::KilnChamberSet(b) => self.set_chamber(b, stamp),
            Body::PlanSaved(b) => self.save_plan(b, stamp),
            Body::PlanOverruled(b) => self.overrule(b, stamp),
            Body::PlanTicked(b) => self.tick(b),
            Body::PlanDropped(b) => self.drop_plan(b, stamp),
            // What it opens and what closes that is read off the history: `crate::jobs`.
            Body::FindingNoted(b) => self.hold_mut(b.piece).map(|_| ()),
            Body::PhotoTaken(b) => self.hold_mut(b.piece).map(|_| ()),
            Body::FiringChecked(b) => {
                let firing = self.firings.get_mut(&b.firing).ok_or_else(|| unknown("firing", b.firing))?;
                firing.checked.get_or_insert(stamp);
                Ok(())
            }
            Body::EventsWithdrawn(_) => Ok(()),
        }
    }

    fn shelf_mut(&mut self, id: ShelfId) -> Result<&mut Shelf, SkipReason> {
        self.shelves.get_mut(&id).ok_or_else(|| unknown("shelf", id))
    }

    fn post_mut(&mut self, id: PostId) -> Result<&mut Post, SkipReason> {
        self.posts.get_mut(&id).ok_or_else(|| unknown("post", id))
    }

    fn hold_mut(&mut self, piece: Piece) -> Result<&mut Option<Hold>, SkipReason> {
        match piece {
            Piece::Shelf(id) => self.shelf_mut(id).map(|shelf| &mut shelf.hold),
            Piece::Post(id) => self.post_mut(id).map(|post| &mut post.hold),
        }
    }

    fn retired_mut(&mut self, piece: Piece) -> Result<&mut Option<Retired>, SkipReason> {
        match piece {
            Piece::Shelf(id) => self.shelf_mut(id).map(|shelf| &mut shelf.retired),
            Piece::Post(id) => self.post_mut(id).map(|post| &mut post.retired),
        }
    }

    fn known_kiln(&self, id: KilnId) -> Outcome {
        if self.kilns.contains_key(&id) { Ok(()) } else { Err(unknown("kiln", id)) }
    }

    fn claim(&mut self, code: &Code, subject: Subject) {
        self.codes.entry(code.clone()).or_insert(subject);
    }

    fn add_shelf(&mut self, b: &ShelfAdded, stamp: Stamp) -> Outcome {
        if self.shelves.contains_key(&b.shelf) {
            return Err(twice("shelf", b.shelf));
        }
        self.known_kiln(b.kiln)?;
        self.claim(&b.code, Subject::Shelf(b.shelf));
        let shelf = Shelf {
            id: b.shelf,
            code: b.code.clone(),
            material: b.material,
            outline: b.outline,
            thickness: b.thickness_nm,
            ground_off: crate::units::Length::ZERO,
            price_cents: b.price_cents,
            bought_on: b.bought_on,
            firings_before: b.firings_before,
            firings_logged: 0,
            kiln: b.kiln,
            place: b.place.clone(),
            graded: b.graded,
            up: crate::event::values::Face::A,
            readings: Vec::new(),
            washes: std::collections::BTreeMap::new(),
            cracks: std::collections::BTreeMap::new(),
            ring: None,
            last_ground: None,
            grinding_minutes: 0,
            hold: None,
            retired: None,
            added: stamp,
        };
        self.shelves.insert(b.shelf, shelf);
        Ok(())
    }

    fn add_post(&mut self, b: &PostAdded, stamp: Stamp) -> Outcome {
        if self.posts.contains_key(&b.post) {
            return Err(twice("post", b.post));
        }
        self.known_kiln(b.kiln)?;
        self.claim(&b.code, Subject::Post(b.post));
        let post = Post {
            id: b.post,
            code: b.code.clone(),
            material: b.material,
            nominal: b.nominal_nm,
            section: b.section,
            width: b.width_nm,
            price_cents: b.price_cents,
            bought_on: b.bought_on,
            firings_before: b.firings_before,
            firings_logged: 0,
            kiln: b.kiln,
            place: b.place.clone(),
            readings: Vec::new(),
            last_dressed: None,
            hold: None,
            retired: None,
            added: stamp,
        };
        self.posts.insert(b.post, post);
        Ok(())
    }

    fn measure_shelf(&mut self, b: &ShelfMeasured, stamp: Stamp) -> Outcome {
        let shelf = self.shelf_mut(b.shelf)?;
        shelf.up = b.face;
        let firings_then = shelf.firings();
        shelf.readings.push(ShelfReading { stamp, firings_then, measured: b.clone(), stale: false });
        Ok(())
    }

    fn measure_post(&mut self, b: &PostMeasured, stamp: Stamp) -> Outcome {
        let post = self.post_mut(b.post)?;
        let firings_then = post.firings();
        post.readings.push(PostReading {
            stamp,
            firings_then,
            height: b.height.nm,
            text: b.height.text.clone(),
            instrument: b.instrument,
            out_of_square: b.out_of_square.as_ref().map(|typed| typed.nm),
            stale: false,
        });
        Ok(())
    }

    fn make_set(&mut self, b: &crate::event::SetMade, stamp: Stamp) -> Outcome {
        if self.sets.contains_key(&b.set) {
            return Err(twice("set", b.set));
        }
        if let Some(stranger) = b.posts.iter().find(|id| !self.posts.contains_key(id)) {
            return Err(unknown("post", stranger));
        }
        self.part_sets_of(&b.posts, b.set, stamp);
        self.claim(&b.code, Subject::Set(b.set));
        let set = PostSet {
            id: b.set,
            code: b.code.clone(),
            posts: b.posts.clone(),
            shelf: b.shelf,
            inset: b.inset_nm,
            made: stamp,
            parted: None,
        };
        self.sets.insert(b.set, set);
        Ok(())
    }

    /// A post stands in one set: making a new one with it parts the old.
    fn part_sets_of(&mut self, posts: &[PostId], new: SetId, stamp: Stamp) {
        for set in self.sets.values_mut().filter(|set| set.id != new && set.parted.is_none()) {
            if set.posts.iter().any(|id| posts.contains(id)) {
                set.parted = Some((stamp, "a post went into another set".to_owned()));
            }
        }
    }

    fn grind(&mut self, b: &ShelfGround, stamp: Stamp) -> Outcome {
        let shelf = self.shelf_mut(b.shelf)?;
        let firings_then = shelf.firings();
        shelf.ground_off = shelf.ground_off + b.removed_nm.unwrap_or_default();
        shelf.grinding_minutes = shelf.grinding_minutes.saturating_add(b.minutes.unwrap_or(0));
        shelf.last_ground = Some((b.method, stamp, firings_then));
        shelf.washes.remove(&b.face);
        for reading in shelf.readings.iter_mut().filter(|reading| reading.measured.face == b.face) {
            reading.stale = true;
        }
        if b.method == GrindMethod::Wet && shelf.material.is_silicon_carbide() {
            let note = "ground wet: dry it out before it is fired".to_owned();
            shelf.hold = Some(Hold { reason: HoldReason::Wet, note, since: stamp });
        }
        Ok(())
    }

    fn crack(&mut self, b: &CrackFound, stamp: Stamp) -> Outcome {
        let shelf = self.shelf_mut(b.shelf)?;
        if b.ring != crate::event::values::Ring::NotTapped {
            shelf.ring = Some((b.ring, stamp));
        }
        let crack = Crack { id: b.crack, from: b.from, to: b.to, ring: b.ring, note: b.note.clone(), stamp };
        shelf.cracks.insert(b.crack, crack);
        Ok(())
    }

    fn move_piece(&mut self, piece: Piece, kiln: KilnId, place: &str) -> Outcome {
        self.known_kiln(kiln)?;
        match piece {
            Piece::Shelf(id) => self.shelf_mut(id).map(|shelf| {
                shelf.kiln = kiln;
                place.clone_into(&mut shelf.place);
            }),
            Piece::Post(id) => self.post_mut(id).map(|post| {
                post.kiln = kiln;
                place.clone_into(&mut post.place);
            }),
        }
    }

    fn fire(&mut self, b: &KilnFired, stamp: Stamp) -> Outcome {
        if self.firings.contains_key(&b.firing) {
            return Err(twice("firing", b.firing));
        }
        self.known_kiln(b.kiln)?;
        let mut pieces = b.pieces.clone();
        pieces.sort_unstable();
        pieces.dedup();
        for piece in &pieces {
            match piece {
                Piece::Shelf(id) => self.shelf_mut(*id).map(|_| ())?,
                Piece::Post(id) => self.post_mut(*id).map(|_| ())?,
            }
        }
        for piece in &pieces {
            match piece {
                Piece::Shelf(id) => self.shelf_mut(*id)?.firings_logged += 1,
                Piece::Post(id) => self.post_mut(*id)?.firings_logged += 1,
            }
        }
        let firing = Firing {
            id: b.firing,
            kiln: b.kiln,
            ware: b.ware,
            cone: b.cone,
            fired_on: b.fired_on,
            pieces,
            note: b.note.clone(),
            plan: b.plan,
            stamp,
            checked: None,
        };
        if let Some(plan) = b.plan.and_then(|id| self.plans.get_mut(&id)) {
            plan.fired = Some(b.firing);
        }
        self.firings.insert(b.firing, firing);
        Ok(())
    }

    fn change_setting(&mut self, b: &SettingChanged) -> Outcome {
        if self.settings.change(b.key, b.value) {
            return Ok(());
        }
        let about = b.key.about();
        Err(SkipReason::Range { name: about.name, value: b.value, low: about.low, high: about.high })
    }
}
