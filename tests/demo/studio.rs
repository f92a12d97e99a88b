//! The studio: what is bought, and what three years do to it.
use crate::diary::{Device, Diary};
use crate::pieces::{TruePost, TrueShelf, read_post, read_shelf};
use crate::plans;
use crate::story;
use jiff::civil::{Date, date};
use tripoise_core::code;
use tripoise_core::cone_name::ConeName;
use tripoise_core::event::values::{Face, Fuel, Material, Piece, PostSection, Use, Ware};
use tripoise_core::event::{KilnAdded, KilnFired, PostAdded, SetMade, ShelfAdded, ShelfWashed};
use tripoise_core::ids::{FiringId, KilnId, PostId, SetId, ShelfId};
use tripoise_core::outline::Outline;
use tripoise_core::units::Length;

/// Everything that the story moves about in.
pub struct Studio {
    pub diary: Diary,
    pub wren: KilnId,
    pub heron: KilnId,
    pub shelves: Vec<TrueShelf>,
    pub posts: Vec<TruePost>,
    pub sets: Vec<(SetId, String, Vec<PostId>)>,
}

/// The whole diary as JSON Lines.
pub fn jsonl() -> Result<String, Box<dyn std::error::Error>> {
    let mut studio = Studio::founded()?;
    studio.three_years()?;
    story::last_weeks(&mut studio);
    plans::next_loads(&mut studio)?;
    Ok(studio.diary.jsonl()?)
}

/// A batch of shelves: how many, of what, how big, for how much.
struct ShelfBatch {
    n: usize,
    material: Material,
    outline: Outline,
    thickness_mm: f64,
    price: i64,
    kiln: KilnId,
    rack: &'static str,
    sag: f64,
}

/// A batch of posts.
struct PostBatch {
    n: usize,
    material: Material,
    nominal_mm: f64,
    section: PostSection,
    width_mm: f64,
    price: i64,
    kiln: KilnId,
    wear: f64,
}

impl Studio {
    fn founded() -> Result<Self, Box<dyn std::error::Error>> {
        let mut diary = Diary::new(20_231_101);
        let (wren, heron) = (KilnId(diary.id()), KilnId(diary.id()));
        let kilns = [(wren, "Wren", Fuel::Electric, "6"), (heron, "Heron", Fuel::Gas, "10")];
        for (kiln, name, fuel, cone) in kilns {
            let usual_cone = ConeName::read(cone)?;
            diary.write(Device::Tablet, KilnAdded { kiln, name: name.to_owned(), fuel, usual_cone });
        }
        let mut studio =
            Self { diary, wren, heron, shelves: Vec::new(), posts: Vec::new(), sets: Vec::new() };
        studio.buy_shelves();
        studio.buy_posts();
        studio.first_readings();
        Ok(studio)
    }

    fn buy_shelves(&mut self) {
        let mm = Length::from_mm;
        let slab = Outline::Rectangle { length_nm: mm(600.0), width_nm: mm(300.0) };
        let half = Outline::HalfRound { diameter_nm: mm(530.0) };
        let disc = Outline::Round { diameter_nm: mm(530.0) };
        let (wren, heron) = (self.wren, self.heron);
        let batch = |n, material, outline, thickness_mm, price, kiln, rack, sag| ShelfBatch {
            n,
            material,
            outline,
            thickness_mm,
            price,
            kiln,
            rack,
            sag,
        };
        let batches = [
            batch(10, Material::Cordierite, half, 19.0, 4_200, wren, "rack A", 0.008),
            batch(4, Material::Cordierite, disc, 19.0, 7_900, wren, "rack A", 0.009),
            batch(8, Material::Cordierite, slab, 25.0, 6_400, heron, "rack B", 0.035),
            batch(8, Material::HighAlumina, slab, 22.0, 9_800, heron, "rack B", 0.010),
            batch(6, Material::DenseThinSic, slab, 8.0, 21_500, heron, "rack C", 0.001),
            batch(4, Material::ClayBondedSic, slab, 22.0, 11_900, heron, "rack C", 0.006),
        ];
        for batch in batches {
            for slot in 1..=batch.n {
                self.buy_shelf(&batch, slot);
            }
        }
    }

    fn buy_shelf(&mut self, batch: &ShelfBatch, slot: usize) {
        let id = ShelfId(self.diary.id());
        let code = code::nth('F', self.shelves.len() + 1);
        let dense = batch.material == Material::DenseThinSic;
        let dish_mm = if dense { 0.1 } else { self.diary.chance.between(0.15, 0.6) };
        let twist_mm = if dense { 0.1 } else { self.diary.chance.between(-0.35, 0.35) };
        self.diary.write(
            Device::Tablet,
            ShelfAdded {
                shelf: id,
                code: code.clone(),
                material: batch.material,
                outline: batch.outline,
                thickness_nm: Length::from_mm(batch.thickness_mm),
                price_cents: Some(batch.price),
                bought_on: Some(date(2023, 10, 16)),
                firings_before: 0,
                kiln: batch.kiln,
                place: format!("{} slot {slot}", batch.rack),
                graded: Some(Use::Flatware),
            },
        );
        let sag = batch.sag * self.diary.chance.between(0.6, 1.4);
        self.shelves.push(TrueShelf {
            id,
            code: code.to_string(),
            kiln: batch.kiln,
            material: batch.material,
            outline: batch.outline,
            dish_mm,
            twist_mm,
            sag_per_firing_mm: sag,
            up: Face::A,
            out: false,
            held: false,
        });
    }

    fn buy_posts(&mut self) {
        let (wren, heron) = (self.wren, self.heron);
        let batch = |n, material, nominal_mm, section, width_mm, price, kiln, wear| PostBatch {
            n,
            material,
            nominal_mm,
            section,
            width_mm,
            price,
            kiln,
            wear,
        };
        let batches = [
            batch(24, Material::Cordierite, 100.0, PostSection::Square, 38.0, 390, wren, 0.000_8),
            batch(24, Material::Cordierite, 150.0, PostSection::Square, 38.0, 520, wren, 0.001),
            batch(12, Material::Cordierite, 50.0, PostSection::Square, 38.0, 280, wren, 0.000_6),
            batch(30, Material::HighAlumina, 150.0, PostSection::Square, 45.0, 740, heron, 0.004),
            batch(30, Material::HighAlumina, 200.0, PostSection::Square, 45.0, 890, heron, 0.004),
            batch(15, Material::HighAlumina, 75.0, PostSection::Square, 45.0, 520, heron, 0.003),
            batch(15, Material::HighAlumina, 300.0, PostSection::Round, 50.0, 1_340, heron, 0.005),
        ];
        for batch in batches {
            for _ in 0..batch.n {
                self.buy_post(&batch);
            }
        }
    }

    fn buy_post(&mut self, batch: &PostBatch) {
        let id = PostId(self.diary.id());
        let code = code::nth('P', self.posts.len() + 1);
        self.diary.write(
            Device::Tablet,
            PostAdded {
                post: id,
                code: code.clone(),
                material: batch.material,
                nominal_nm: Length::from_mm(batch.nominal_mm),
                section: batch.section,
                width_nm: Length::from_mm(batch.width_mm),
                price_cents: Some(batch.price),
                bought_on: Some(date(2023, 10, 16)),
                firings_before: 0,
                kiln: batch.kiln,
                place: format!("bin {}", batch.nominal_mm),
            },
        );
        let height_mm = batch.nominal_mm + 0.45 * self.diary.chance.about_normal();
        let wear = batch.wear * self.diary.chance.between(0.3, 1.7);
        self.posts.push(TruePost {
            id,
            kiln: batch.kiln,
            nominal_mm: batch.nominal_mm,
            height_mm,
            wear_per_firing_mm: wear,
            out: false,
        });
    }

    /// Every shelf is washed and read, most posts are measured, and the posts that match become sets.
    fn first_readings(&mut self) {
        self.diary.turn_to(date(2023, 11, 4), 10);
        for idx in 0..self.shelves.len() {
            let full = idx % 5 == 0;
            let reading = read_shelf(&self.shelves[idx], full, &mut self.diary.chance);
            self.diary.write(Device::BenchPhone, reading);
            self.wash(idx);
        }
        self.diary.turn_to(date(2023, 11, 5), 10);
        for idx in 0..self.posts.len() {
            if idx % 29 != 28 {
                self.measure_post(idx);
            }
        }
        self.match_sets();
    }

    /// Washes a shelf on the face that is up: alumina and kaolin.
    pub fn wash(&mut self, idx: usize) {
        let shelf = &self.shelves[idx];
        let recipe = "alumina hydrate 1, kaolin 1 by volume".to_owned();
        let body = ShelfWashed { shelf: shelf.id, face: shelf.up, recipe, coats: 2 };
        self.diary.write(Device::BenchPhone, body);
    }

    /// Measures one post.
    pub fn measure_post(&mut self, idx: usize) {
        let reading = read_post(&self.posts[idx], &mut self.diary.chance);
        self.diary.write(Device::BenchPhone, reading);
    }

    /// Sorts the posts of one height and kiln and takes neighbours three by three, as a bench would.
    fn match_sets(&mut self) {
        let mut heights: Vec<(KilnId, f64)> = self.posts.iter().map(|p| (p.kiln, p.nominal_mm)).collect();
        heights.dedup();
        for (kiln, nominal_mm) in heights {
            let mut alike: Vec<usize> = (0..self.posts.len())
                .filter(|i| {
                    self.posts[*i].kiln == kiln && (self.posts[*i].nominal_mm - nominal_mm).abs() < 0.1
                })
                .collect();
            alike.sort_by(|a, b| self.posts[*a].height_mm.total_cmp(&self.posts[*b].height_mm));
            let n_of = if kiln == self.heron && nominal_mm > 250.0 { 4 } else { 3 };
            let spread =
                |group: &[usize]| self.posts[group[n_of - 1]].height_mm - self.posts[group[0]].height_mm;
            let groups: Vec<Vec<usize>> = alike
                .chunks_exact(n_of)
                .filter(|group| spread(group) < 0.45)
                .map(<[usize]>::to_vec)
                .collect();
            for group in groups {
                self.make_set(&group);
            }
        }
    }

    fn make_set(&mut self, group: &[usize]) {
        let id = SetId(self.diary.id());
        let code = code::nth('K', self.sets.len() + 1);
        let posts: Vec<PostId> = group.iter().map(|i| self.posts[*i].id).collect();
        let kiln = self.posts[group[0]].kiln;
        let shelf = self.shelves.iter().find(|s| s.kiln == kiln).map(|s| s.id);
        let body = SetMade {
            set: id,
            code: code.clone(),
            posts: posts.clone(),
            shelf,
            inset_nm: Length::from_mm(40.0),
        };
        self.diary.write(Device::BenchPhone, body);
        self.sets.push((id, code.to_string(), posts));
    }

    /// Firings week by week: the electric kiln every eight days, the gas kiln every fortnight or so.
    fn three_years(&mut self) -> Result<(), Box<dyn std::error::Error>> {
        let last = date(2026, 11, 17);
        let (mut next_wren, mut next_heron) = (date(2023, 11, 9), date(2023, 11, 14));
        let mut n_fired = 0_usize;
        loop {
            let day = next_wren.min(next_heron);
            if day > last {
                return Ok(());
            }
            let gas = day == next_heron;
            let kiln = if gas { self.heron } else { self.wren };
            let bisque = !gas && self.diary.chance.happens(0.45);
            let cone = ConeName::read(if gas {
                "10"
            } else if bisque {
                "06"
            } else {
                "6"
            })?;
            self.fire(day, kiln, if bisque { Ware::Bisque } else { Ware::Glaze }, cone);
            n_fired += 1;
            story::after_firing(self, day, n_fired);
            let wait = i64::try_from(self.diary.chance.bits() % 4).unwrap_or(0);
            if gas {
                next_heron = later(next_heron, 15 + 2 * wait)?;
            } else {
                next_wren = later(next_wren, 7 + wait)?;
            }
        }
    }

    fn fire(&mut self, day: Date, kiln: KilnId, ware: Ware, cone: ConeName) {
        self.diary.turn_to(day, 18);
        let mut pieces = Vec::new();
        for shelf in self.shelves.iter_mut().filter(|s| s.kiln == kiln && !s.out && !s.held) {
            pieces.push(Piece::Shelf(shelf.id));
            shelf.dish_mm += shelf.sag_per_firing_mm * if ware == Ware::Bisque { 0.3 } else { 1.0 };
        }
        for post in self.posts.iter_mut().filter(|p| p.kiln == kiln && !p.out) {
            pieces.push(Piece::Post(post.id));
            post.height_mm -= post.wear_per_firing_mm;
        }
        let firing = FiringId(self.diary.id());
        let note = String::new();
        self.diary.write(
            Device::Tablet,
            KilnFired { firing, kiln, ware, cone, fired_on: day, pieces, note, plan: None },
        );
    }
}

/// The day so many days later.
pub fn later(day: Date, days: i64) -> Result<Date, jiff::Error> {
    day.checked_add(jiff::Span::new().days(days))
}
