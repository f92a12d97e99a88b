//! One event of every kind, for tests: golden files, round trips, the fold in any order.
use super::plan::{
    Chamber, KeepOut, PlacedPiece, PlannedLayer, PlannedShelf, PlannedStack, PlannedSupport, PlannedWare,
    StackPlace,
};
use super::values::{
    Face, Flaw, Fuel, GrindMethod, HoldReason, Instrument, KeepOutKind, Labelled, Mask, Material, Piece,
    PostSection, RetireReason, Ring, Typed, Use, Ware,
};
use super::*;
use crate::code::nth;
use crate::cone_name::ConeName;
use crate::ids::{
    CrackId, DeviceId, EventId, FiringId, KilnId, LabelId, PlanId, PostId, SetId, SheetId, ShelfId, StudioId,
};
use crate::label::{Grid, common};
use crate::outline::{LineName, Outline, Spot};
use crate::photo::{PhotoHash, PhotoKind};
use crate::record::Hlc;
use crate::settings::SettingKey;
use crate::units::{Length, Mass};
use jiff::Timestamp;
use jiff::civil::date;
use uuid::Uuid;

fn uuid(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn typed(value: f64) -> Typed {
    Typed { nm: mm(value), text: value.to_string() }
}

fn grid() -> Grid {
    common().into_iter().next().unwrap_or_else(|| unreachable!())
}

/// One body of every kind, in an order in which each names only what came before.
#[expect(clippy::too_many_lines, reason = "a list, one entry a kind")]
pub fn bodies() -> Vec<Body> {
    let (kiln, shelf, set) = (KilnId(uuid(1)), ShelfId(uuid(2)), SetId(uuid(9)));
    let posts: Vec<PostId> = (10..13).map(|n| PostId(uuid(n))).collect();
    let piece = Piece::Shelf(shelf);
    let spot = |x, y| Spot { x_nm: mm(x), y_nm: mm(y) };
    let (fuel, usual_cone) = (Fuel::Gas, ConeName::all().last().unwrap_or_else(|| unreachable!()));
    let mut bodies: Vec<Body> = vec![
        KilnAdded { kiln, name: "Heron".to_owned(), fuel, usual_cone }.into(),
        ShelfAdded {
            shelf,
            code: nth('F', 7),
            material: Material::DenseThinSic,
            outline: Outline::Rectangle { length_nm: mm(600.0), width_nm: mm(300.0) },
            thickness_nm: mm(8.0),
            price_cents: Some(21_500),
            bought_on: Some(date(2023, 10, 16)),
            firings_before: 12,
            kiln,
            place: "rack C slot 3".to_owned(),
            graded: Some(Use::Flatware),
        }
        .into(),
    ];
    bodies.extend(posts.iter().zip(1..).map(|(post, number)| {
        PostAdded {
            post: *post,
            code: nth('P', number),
            material: Material::HighAlumina,
            nominal_nm: mm(150.0),
            section: PostSection::Square,
            width_nm: mm(45.0),
            price_cents: None,
            bought_on: None,
            firings_before: 0,
            kiln,
            place: String::new(),
        }
        .into()
    }));
    let dip = Dip { at_permille: 500, dip_nm: mm(0.76), text: "card".to_owned() };
    let line = LineReading {
        line: LineName::DiagonalUp,
        from: spot(0.0, 0.0),
        to: spot(600.0, 300.0),
        dips: vec![dip],
    };
    let reading =
        SurfaceReading::Lines { against: Against::Spacers { spacer: typed(3.0) }, lines: vec![line] };
    let removed_nm = Some(mm(0.2));
    let (method, mask) = (GrindMethod::Wet, Mask::Fitted);
    bodies.extend([
        ShelfGraded { shelf, fit_for: Use::General }.into(),
        ShelfMeasured {
            shelf,
            face: Face::A,
            bare: true,
            instrument: Instrument::Feeler,
            reading,
            note: String::new(),
        }
        .into(),
        PostMeasured {
            post: posts[0],
            height: typed(150.12),
            instrument: Instrument::Caliper,
            out_of_square: Some(typed(0.2)),
        }
        .into(),
        SetMade { set, code: nth('K', 1), posts: posts.clone(), shelf: Some(shelf), inset_nm: mm(40.0) }
            .into(),
        ShelfGround { shelf, face: Face::A, removed_nm, minutes: Some(12), method, mask }.into(),
        PostDressed {
            post: posts[1],
            removed_nm,
            minutes: None,
            method: GrindMethod::Dry,
            mask: Mask::NotNoted,
        }
        .into(),
        ShelfWashed { shelf, face: Face::A, recipe: "alumina hydrate 1, kaolin 1".to_owned(), coats: 2 }
            .into(),
        CrackFound {
            shelf,
            crack: CrackId(uuid(20)),
            from: spot(200.0, 0.0),
            to: spot(198.0, 75.0),
            ring: Ring::Rings,
            note: "hairline".to_owned(),
        }
        .into(),
        ShelfTapped { shelf, ring: Ring::Dull }.into(),
        ShelfFlipped { shelf, up: Face::B }.into(),
        PieceHeld { piece, reason: HoldReason::Wet, note: "left in the rain".to_owned() }.into(),
        PieceReleased { piece, because: "24 h at 95 C, dry mass as before".to_owned() }.into(),
        PieceMoved { piece, kiln, place: "rack B slot 1".to_owned() }.into(),
        KilnFired {
            firing: FiringId(uuid(30)),
            kiln,
            ware: Ware::Glaze,
            cone: usual_cone,
            fired_on: date(2026, 3, 1),
            pieces: vec![piece, Piece::Post(posts[0])],
            note: String::new(),
            plan: None,
        }
        .into(),
        NoteAdded { piece, text: "chipped corner".to_owned() }.into(),
        SetParted { set, reason: "P02 drifted".to_owned() }.into(),
        PieceRetired { piece, reason: RetireReason::Cracked, note: "went right across".to_owned() }.into(),
        PieceReturned { piece, because: "cut down to half size".to_owned() }.into(),
        SettingChanged {
            key: SettingKey::SpreadGood,
            value: 400_000,
            text: "0.4".to_owned(),
            reason: "tall stacks".to_owned(),
        }
        .into(),
        EventsWithdrawn { events: vec![EventId(uuid(1000))], reason: "wrong shelf".to_owned() }.into(),
        StudioNamed {
            studio: StudioId(uuid(40)),
            name: "Kestrel Yard".to_owned(),
            address: "https://tripoise.local:7443".to_owned(),
        }
        .into(),
        LabelGridSet { grid: grid(), offered: true }.into(),
        LabelsMade {
            sheet: SheetId(uuid(41)),
            grid: grid(),
            skip: 2,
            labels: vec![
                MadeLabel { label: LabelId(uuid(42)), on: Labelled::Shelf(shelf) },
                MadeLabel { label: LabelId(uuid(43)), on: Labelled::Set(set) },
                MadeLabel { label: LabelId(uuid(44)), on: Labelled::Post(posts[0]) },
            ],
        }
        .into(),
        FindingNoted {
            piece,
            flaw: Flaw::Drip,
            firing: Some(FiringId(uuid(30))),
            note: "by the bag wall".to_owned(),
        }
        .into(),
        FiringChecked { firing: FiringId(uuid(30)), note: String::new() }.into(),
        PhotoTaken {
            piece,
            sha256: PhotoHash::of_digest([7; 32]),
            media: PhotoKind::Jpeg,
            width: 1600,
            height: 1200,
            bytes: 412_345,
            note: "crack by the post".to_owned(),
        }
        .into(),
    ]);
    bodies.extend(of_a_plan(kiln, shelf, set, &posts, usual_cone));
    bodies
}

/// A kiln's inside, and a plan from its saving to its being given up.
fn of_a_plan(kiln: KilnId, shelf: ShelfId, set: SetId, posts: &[PostId], cone: ConeName) -> Vec<Body> {
    let spot = |x, y| Spot { x_nm: mm(x), y_nm: mm(y) };
    let plan = PlanId(uuid(50));
    let keep_out = KeepOut {
        kind: KeepOutKind::BagWall,
        at: spot(0.0, 0.0),
        length_nm: mm(115.0),
        width_nm: mm(900.0),
        from_nm: mm(0.0),
        to_nm: mm(400.0),
        clearance_nm: Some(mm(50.0)),
    };
    let places = vec![StackPlace {
        name: "left".to_owned(),
        at: spot(150.0, 100.0),
        length_nm: mm(600.0),
        width_nm: mm(300.0),
    }];
    let chamber = Chamber::Arched {
        width_nm: mm(1000.0),
        depth_nm: mm(900.0),
        height_nm: mm(1200.0),
        spring_nm: mm(900.0),
    };
    let support = |n: usize, x, y| PlannedSupport {
        at: spot(x, y),
        posts: vec![posts[n]],
        shim_nm: Length::ZERO,
        wad_nm: mm(1.0),
    };
    let piece = PlacedPiece {
        at: spot(300.0, 150.0),
        diameter_nm: mm(120.0),
        height_nm: mm(100.0),
        mass_mg: Mass(800_000_000),
    };
    let ware = PlannedWare {
        used_for: Some(Use::General),
        tallest_nm: mm(120.0),
        mass_mg: Mass(6_000_000_000),
        lidded: true,
        pieces: vec![piece],
    };
    let layer = PlannedLayer {
        set: Some(set),
        supports: vec![support(0, 40.0, 40.0), support(1, 40.0, 260.0), support(2, 560.0, 150.0)],
        shelves: vec![PlannedShelf { shelf: Some(shelf), at: spot(0.0, 0.0), quarter_turns: 2, ware }],
    };
    let stacks = vec![PlannedStack { place: "left".to_owned(), at: spot(150.0, 100.0), layers: vec![layer] }];
    let line = "tilt left 1".to_owned();
    let (said, reason) = ("layer 1 tilts".to_owned(), "seen and shimmed".to_owned());
    vec![
        KilnChamberSet { kiln, chamber, places, keep_outs: vec![keep_out] }.into(),
        PlanSaved { plan, kiln, name: "glaze, week 9".to_owned(), ware: Ware::Glaze, cone, stacks }.into(),
        PlanOverruled { plan, line, said, reason }.into(),
        PlanTicked { plan, place: "left".to_owned(), layer: 1, loaded: true }.into(),
        PlanDropped { plan }.into(),
    ]
}

/// The bodies as events of one device, a second apart, with ids 1000, 1001 and so on.
pub fn events() -> Vec<Event> {
    bodies()
        .into_iter()
        .zip(0_u64..)
        .map(|(body, n)| {
            let ms = 1_700_000_000_000 + i64::try_from(n).unwrap_or(0) * 1000;
            Event {
                id: EventId(uuid(1000 + u128::from(n))),
                device: DeviceId(uuid(5)),
                device_seq: n + 1,
                hlc: Hlc::at_ms(ms),
                observed_at: Timestamp::from_millisecond(ms).unwrap_or(Timestamp::UNIX_EPOCH),
                corrects: None,
                body,
            }
        })
        .collect()
}
