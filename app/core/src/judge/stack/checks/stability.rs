//! Slopes, lean, the support polygon in every state of loading, and bending.
use super::{At, Case, kg, of_shelf};
use crate::judge::shelf::bending::{Against, Slab};
use crate::judge::stack::CheckKind;
use crate::judge::stack::lay::LaidStack;
use crate::judge::stack::plate::BentShelf;
use crate::judge::stack::statics::{Standing, Stood, length_of};
use crate::settings::SettingKey;
use crate::view::text;

impl Case<'_> {
    /// Every shelf of a stack.
    pub(super) fn stability(
        &mut self,
        stack: &LaidStack<'_>,
        standing: &Standing,
        bent: &[Option<BentShelf>],
    ) {
        for (idx, shelf) in stack.shelves.iter().enumerate() {
            let at = At::layer(stack, shelf.layer);
            let stood = &standing.shelves[idx];
            let (code, pieces) = (shelf.code(), of_shelf(shelf));
            self.leaning(stood, &code, pieces.clone(), at);
            self.margins(stack, stood, idx, at);
            self.bending(stack, idx, bent.get(idx).copied().flatten(), at);
        }
    }

    fn leaning(&mut self, stood: &Stood, code: &str, pieces: Vec<crate::event::values::Piece>, at: At<'_>) {
        let slope = length_of(stood.slope);
        let most = self.world.settings.ratio(SettingKey::SlopeMost);
        let turn = "turn a set so that its short post stands over a tall column, or swap a set";
        if slope > most {
            let said =
                format!("{code} slopes {} mm a metre, all below added up", text::fixed(1000.0 * slope, 1));
            let rests_on = self.limit(SettingKey::SlopeMost);
            self.look(CheckKind::Slope, at, pieces.clone(), said, turn, rests_on);
        } else {
            self.pass(CheckKind::Slope);
        }
        let lean = length_of(stood.lean);
        let most = self.setting_mm(SettingKey::LeanMost);
        if lean > most {
            let said = format!("{code} has leaned over by {}", self.mm(lean));
            let rests_on = self.limit(SettingKey::LeanMost);
            self.look(CheckKind::Lean, at, pieces, said, turn, rests_on);
        } else {
            self.pass(CheckKind::Lean);
        }
    }

    /// The margin with everything in place, then its least while loading.
    fn margins(&mut self, stack: &LaidStack<'_>, stood: &Stood, idx: usize, at: At<'_>) {
        let shelf = &stack.shelves[idx];
        let (code, least) = (shelf.code(), self.setting_mm(SettingKey::MarginLeast));
        let Some(margin) = stood.margin_mm else { return };
        let rests_on = self.limit(SettingKey::MarginLeast);
        let carried = kg(stood.carried_kg);
        if margin <= 0.0 {
            let said = format!(
                "{code} tips: the {carried} on its posts have their middle {} outside them",
                self.mm(-margin)
            );
            let fix = "move the posts out, or the load in";
            self.stop(CheckKind::Margin, at, of_shelf(shelf), said, fix, rests_on.clone());
        } else if margin < least {
            let said = format!(
                "{code}: the {carried} on its posts have their middle only {} inside them",
                self.mm(margin)
            );
            let fix = "move the posts out, or the load in";
            self.look(CheckKind::Margin, at, of_shelf(shelf), said, fix, rests_on.clone());
        } else {
            self.pass(CheckKind::Margin);
        }
        match &stood.least {
            Some(worst) if worst.margin_mm <= 0.0 && margin > 0.0 => {
                let said = format!("{code} tips while loading, once {} is set down", worst.after);
                let fix = "load the middle first, hold the shelf there, or move a post under it";
                self.stop(CheckKind::Loading, at, of_shelf(shelf), said, fix, rests_on);
            }
            Some(worst) if worst.margin_mm < least && margin >= least => {
                let said = format!(
                    "{code}: only {} to spare while loading, once {} is set down",
                    self.mm(worst.margin_mm),
                    worst.after
                );
                let fix = "load in the order of the sheet, unload the other way round";
                self.look(CheckKind::Loading, at, of_shelf(shelf), said, fix, rests_on);
            }
            _ => self.pass(CheckKind::Loading),
        }
        self.free_corners(stood, idx, stack, at);
    }

    /// A piece that would tip the shelf, were it set down where it goes before the others.
    fn free_corners(&mut self, stood: &Stood, idx: usize, stack: &LaidStack<'_>, at: At<'_>) {
        let shelf = &stack.shelves[idx];
        let bare = [shelf.centre()[0] + stood.lean[0], shelf.centre()[1] + stood.lean[1]];
        let tips = |step: &&crate::judge::stack::order::Step| {
            let place = [step.at[0] + stood.lean[0], step.at[1] + stood.lean[1]];
            stood.polygon.tipping_mass(bare, shelf.own_kg, place).is_some_and(|least| step.kg >= least)
        };
        let Some(first) = stood.steps.iter().find(tips) else { return };
        let said =
            format!("{}: {} at the {} tips it while it is empty", shelf.code(), kg(first.kg), first.place);
        let fix = "load the middle and the side with two posts first, free corners last; unload them first";
        self.look(
            CheckKind::Loading,
            at,
            of_shelf(shelf),
            said,
            fix,
            "free corners tip an empty shelf (calculated)",
        );
    }

    fn bending(&mut self, stack: &LaidStack<'_>, idx: usize, bent: Option<BentShelf>, at: At<'_>) {
        let shelf = &stack.shelves[idx];
        let Some(bent) = bent else {
            if shelf.supports.len() < 3 {
                return;
            }
            let why = match Slab::of(self.world, shelf.shelf) {
                Err(why) => why.to_string(),
                Ok(_) => "its bending could not be worked out on these posts".to_owned(),
            };
            let said = format!("{}: {why}", shelf.code());
            return self.unknown(
                CheckKind::Beyond,
                at,
                of_shelf(shelf),
                said,
                "judge it by what it has carried before",
                "",
            );
        };
        let rests_on = format!(
            "{} MPa may be used of {} MPa, the table\u{2019}s strength at heat, which is unverified",
            text::fixed(bent.allowed_mpa, 1),
            text::fixed(bent.strength_mpa, 1)
        );
        let said = format!("{}: {} MPa under its load", shelf.code(), text::fixed(bent.stress_mpa, 2));
        let fix = "less on it, posts nearer the best places, or a thicker shelf";
        if bent.lifts {
            let said =
                format!("{}: one of its posts would have to hold it down under its load", shelf.code());
            let fix = "move the load in, or the posts; the figures of bending hold only while nothing lifts";
            return self.look(CheckKind::Bending, at, of_shelf(shelf), said, fix, "calculated");
        }
        match bent.against {
            Against::Within => self.pass(CheckKind::Bending),
            Against::OverShare => self.look(CheckKind::Bending, at, of_shelf(shelf), said, fix, rests_on),
            Against::OverStrength => self.stop(CheckKind::Bending, at, of_shelf(shelf), said, fix, rests_on),
        }
    }
}
