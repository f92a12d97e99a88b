//! Temperature equivalents of pyrometric cones: three charts that do not agree, each value with its own.
//!
//! A cone measures heat work, not temperature; a value means the peak reached at a steady rate over the
//! last 100 °C or so. Every answer says which chart it is from, for what rate, and whether the row was
//! read from a published copy or written down from memory.
//!
//! What this does not do: guess between charts, or beyond their rates.
use crate::cone_name::ConeName;
use thiserror::Error;

/// One published column of equivalents for one kind of cone.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Chart {
    /// Cones that stand by themselves, 15, 60 and 150 °C/h.
    SelfSupporting,
    /// Large cones set in a plaque, 60 and 150 °C/h.
    Large,
    /// Small cones for a sitter or a plaque, 300 °C/h.
    Small,
    /// Large cones as the charts of the 1950s had them, 150 °C/h.
    LargeOld,
}

impl Chart {
    /// Every chart, the one that is used where none is asked for first.
    pub const ALL: [Self; 4] = [Self::SelfSupporting, Self::Large, Self::Small, Self::LargeOld];

    /// Its name in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::SelfSupporting => "self-supporting",
            Self::Large => "large",
            Self::Small => "small",
            Self::LargeOld => "large-1950s",
        }
    }

    /// Where its numbers are from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::SelfSupporting => {
                "maker's chart of cone equivalents in circulation since 2016, self-supporting cones"
            }
            Self::Large => "maker's chart of cone equivalents in circulation since 2016, large cones",
            Self::Small => "maker's chart of cone equivalents in circulation since 2016, small cones",
            Self::LargeOld => "maker's chart of cone equivalents of the 1950s, large cones",
        }
    }

    /// The rates it is tabulated for, in °C/h, and the column of [`ROWS`] for each.
    const fn columns(self) -> &'static [(f64, usize)] {
        match self {
            Self::SelfSupporting => &[(15.0, 0), (60.0, 1), (150.0, 2)],
            Self::Large => &[(60.0, 3), (150.0, 4)],
            Self::Small => &[(300.0, 5)],
            Self::LargeOld => &[(150.0, 6)],
        }
    }

    const fn is_from_memory(self, row: &Row) -> bool {
        // The old column was read whole in two copies.
        !matches!(self, Self::LargeOld) && row.recent_from_memory
    }
}

/// A temperature at a rate, both as tabulated.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Entry {
    /// The rate.
    pub rate_c_per_h: f64,
    /// The temperature.
    pub temperature_c: f64,
}

/// A cone's temperature, with what it rests on.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Equivalent {
    /// The temperature.
    pub temperature_c: f64,
    /// The chart it is from.
    pub chart: Chart,
    /// Whether the chart's row was written down from memory.
    pub from_memory: bool,
    /// The two tabulated rates between which it was interpolated, if it was.
    pub between: Option<(Entry, Entry)>,
    /// Whether the chart's own values for this cone fall as the rate rises, which they cannot.
    pub doubtful: bool,
}

/// Why there is no temperature: the rate lies outside those tabulated for this cone.
#[derive(Clone, PartialEq, Eq, Debug, Error)]
#[error("no chart has cone {cone} at this rate; give {rates}")]
pub struct NoEquivalent {
    /// The cone.
    pub cone: ConeName,
    /// The rates there are, in words: "15 to 150 (self-supporting) or 300 (small) in °C/h".
    pub rates: String,
}

/// The temperature of `cone` at a steady rate, from `chart`.
///
/// # Input    a rate in °C/h; without a chart, the first of [`Chart::ALL`] that holds the rate.
/// # Returns
/// The tabulated value, or between two tabulated rates the value on the straight line between them.
/// # Errors   [`NoEquivalent`] names the rates there are.
/// # Limits
/// The charts disagree: cone 6 is 1222 °C (1950s, 150 °C/h; self-supporting, 60 °C/h), 1220 °C (large,
/// 60 °C/h) or 1243 °C (self-supporting, 150 °C/h).
/// # Source
/// Per chart in [`Chart::source`]; every row checked in tests/reference/cones.rs.
pub fn temperature(
    cone: ConeName,
    rate_c_per_h: f64,
    chart: Option<Chart>,
) -> Result<Equivalent, NoEquivalent> {
    let charts: &[Chart] = chart.as_ref().map_or(&Chart::ALL, std::slice::from_ref);
    let found = charts.iter().find_map(|chart| read(*chart, row(cone)?, rate_c_per_h));
    found.ok_or_else(|| NoEquivalent { cone, rates: rates(cone, charts) })
}

fn row(cone: ConeName) -> Option<&'static Row> {
    let name = cone.to_string();
    ROWS.iter().find(|row| row.cone == name)
}

/// What a chart has for one cone, by rising rate.
fn entries(chart: Chart, row: &Row) -> Vec<Entry> {
    let columns = chart.columns().iter();
    let filled = columns.filter_map(|(rate_c_per_h, column)| {
        Some(Entry { rate_c_per_h: *rate_c_per_h, temperature_c: f64::from(row.c[*column]?) })
    });
    filled.collect()
}

fn read(chart: Chart, row: &Row, rate_c_per_h: f64) -> Option<Equivalent> {
    let entries = entries(chart, row);
    let doubtful = !entries.is_sorted_by(|one, two| one.temperature_c <= two.temperature_c);
    let answer = |temperature_c, between| Equivalent {
        temperature_c,
        chart,
        from_memory: chart.is_from_memory(row),
        between,
        doubtful,
    };
    if let Some(entry) = entries.iter().find(|entry| entry.rate_c_per_h == rate_c_per_h) {
        return Some(answer(entry.temperature_c, None));
    }
    let pair = entries
        .windows(2)
        .find(|pair| pair[0].rate_c_per_h < rate_c_per_h && rate_c_per_h < pair[1].rate_c_per_h)?;
    let (slower, faster) = (pair[0], pair[1]);
    let part = (rate_c_per_h - slower.rate_c_per_h) / (faster.rate_c_per_h - slower.rate_c_per_h);
    let temperature_c = slower.temperature_c + part * (faster.temperature_c - slower.temperature_c);
    Some(answer(temperature_c, Some((slower, faster))))
}

/// The rates that `charts` have for `cone`, in words.
fn rates(cone: ConeName, charts: &[Chart]) -> String {
    let Some(row) = row(cone) else {
        return "another cone".to_owned();
    };
    let mut words = Vec::new();
    for chart in charts {
        let entries = entries(*chart, row);
        match (entries.first(), entries.last()) {
            (Some(first), Some(last)) if first == last => {
                words.push(format!("{} ({})", first.rate_c_per_h, chart.name()));
            }
            (Some(first), Some(last)) => {
                words.push(format!("{} to {} ({})", first.rate_c_per_h, last.rate_c_per_h, chart.name()))
            }
            _ => {}
        }
    }
    if words.is_empty() {
        return "another chart: this one has no value for this cone".to_owned();
    }
    format!("{} in °C/h", words.join(" or "))
}

/// One cone's line in the charts.
struct Row {
    cone: &'static str,
    /// In °C: self-supporting 15, 60, 150 °C/h; large 60, 150; small 300; large of the 1950s 150.
    c: [Option<u16>; 7],
    /// Whether the six recent columns were written down from memory.
    recent_from_memory: bool,
}

/// Rows 022 to 08 of the recent charts, and the whole column of the 1950s, were read in two published
/// copies each; rows 07 to 14 of the recent charts are from memory.
#[rustfmt::skip]
const ROWS: [Row; 36] = [
    Row { cone: "022", c: [None, Some(586), Some(590), None, None, Some(630), Some(600)], recent_from_memory: false },
    Row { cone: "021", c: [None, Some(600), Some(617), None, None, Some(643), Some(614)], recent_from_memory: false },
    Row { cone: "020", c: [None, Some(626), Some(638), None, None, Some(666), Some(635)], recent_from_memory: false },
    Row { cone: "019", c: [Some(656), Some(678), Some(695), Some(676), Some(693), Some(723), Some(683)], recent_from_memory: false },
    Row { cone: "018", c: [Some(686), Some(715), Some(734), Some(712), Some(732), Some(752), Some(717)], recent_from_memory: false },
    Row { cone: "017", c: [Some(705), Some(738), Some(763), Some(736), Some(761), Some(784), Some(747)], recent_from_memory: false },
    Row { cone: "016", c: [Some(742), Some(772), Some(796), Some(769), Some(794), Some(825), Some(792)], recent_from_memory: false },
    Row { cone: "015", c: [Some(750), Some(791), Some(818), Some(788), Some(816), Some(843), Some(804)], recent_from_memory: false },
    Row { cone: "014", c: [Some(757), Some(807), Some(838), Some(807), Some(836), Some(870), Some(838)], recent_from_memory: false },
    Row { cone: "013", c: [Some(807), Some(837), Some(861), Some(837), Some(859), Some(880), Some(852)], recent_from_memory: false },
    Row { cone: "012", c: [Some(843), Some(861), Some(882), Some(858), Some(880), Some(900), Some(884)], recent_from_memory: false },
    Row { cone: "011", c: [Some(857), Some(875), Some(894), Some(873), Some(892), Some(915), Some(894)], recent_from_memory: false },
    Row { cone: "010", c: [Some(891), Some(903), Some(915), Some(898), Some(913), Some(919), Some(900)], recent_from_memory: false },
    Row { cone: "09", c: [Some(907), Some(920), Some(930), Some(917), Some(928), Some(955), Some(923)], recent_from_memory: false },
    Row { cone: "08", c: [Some(922), Some(942), Some(956), Some(942), Some(954), Some(983), Some(955)], recent_from_memory: false },
    Row { cone: "07", c: [Some(962), Some(976), Some(987), Some(973), Some(985), Some(1008), Some(984)], recent_from_memory: true },
    Row { cone: "06", c: [Some(981), Some(998), Some(1013), Some(995), Some(1011), Some(1023), Some(999)], recent_from_memory: true },
    Row { cone: "05", c: [Some(1021), Some(1031), Some(1044), Some(1030), Some(1046), Some(1062), Some(1046)], recent_from_memory: true },
    Row { cone: "04", c: [Some(1046), Some(1063), Some(1077), Some(1060), Some(1070), Some(1098), Some(1060)], recent_from_memory: true },
    Row { cone: "03", c: [Some(1071), Some(1086), Some(1104), Some(1086), Some(1101), Some(1131), Some(1101)], recent_from_memory: true },
    Row { cone: "02", c: [Some(1078), Some(1102), Some(1122), Some(1101), Some(1120), Some(1148), Some(1120)], recent_from_memory: true },
    Row { cone: "01", c: [Some(1093), Some(1119), Some(1138), Some(1117), Some(1137), Some(1178), Some(1137)], recent_from_memory: true },
    Row { cone: "1", c: [Some(1109), Some(1137), Some(1154), Some(1136), Some(1154), Some(1184), Some(1154)], recent_from_memory: true },
    Row { cone: "2", c: [Some(1112), Some(1142), Some(1164), Some(1142), Some(1162), Some(1190), Some(1162)], recent_from_memory: true },
    Row { cone: "3", c: [Some(1115), Some(1152), Some(1170), Some(1152), Some(1168), Some(1196), Some(1168)], recent_from_memory: true },
    Row { cone: "4", c: [Some(1141), Some(1162), Some(1183), Some(1160), Some(1181), Some(1209), Some(1186)], recent_from_memory: true },
    Row { cone: "5", c: [Some(1159), Some(1186), Some(1207), Some(1184), Some(1205), Some(1221), Some(1196)], recent_from_memory: true },
    Row { cone: "6", c: [Some(1185), Some(1222), Some(1243), Some(1220), Some(1241), Some(1255), Some(1222)], recent_from_memory: true },
    Row { cone: "7", c: [Some(1201), Some(1239), Some(1257), Some(1237), Some(1255), Some(1264), Some(1240)], recent_from_memory: true },
    Row { cone: "8", c: [Some(1211), Some(1249), Some(1271), Some(1247), Some(1269), Some(1300), Some(1263)], recent_from_memory: true },
    Row { cone: "9", c: [Some(1224), Some(1260), Some(1280), Some(1257), Some(1278), Some(1317), Some(1280)], recent_from_memory: true },
    Row { cone: "10", c: [Some(1251), Some(1285), Some(1305), Some(1282), Some(1303), Some(1330), Some(1305)], recent_from_memory: true },
    Row { cone: "11", c: [Some(1272), Some(1294), Some(1315), Some(1293), Some(1312), Some(1336), Some(1315)], recent_from_memory: true },
    Row { cone: "12", c: [Some(1285), Some(1306), Some(1326), Some(1304), Some(1324), Some(1355), Some(1326)], recent_from_memory: true },
    Row { cone: "13", c: [Some(1310), Some(1331), Some(1348), Some(1321), Some(1346), None, Some(1346)], recent_from_memory: true },
    Row { cone: "14", c: [Some(1351), Some(1365), Some(1384), Some(1388), Some(1366), None, None], recent_from_memory: true },
];

#[cfg(test)]
mod tests {
    use super::*;

    fn at(cone: &str, rate: f64, chart: Option<Chart>) -> Result<Equivalent, String> {
        let cone = ConeName::read(cone).map_err(|err| err.to_string())?;
        temperature(cone, rate, chart).map_err(|err| err.to_string())
    }

    #[test]
    fn every_cone_has_its_row() {
        let names: Vec<String> = ConeName::all().map(|cone| cone.to_string()).collect();
        assert_eq!(ROWS.map(|row| row.cone.to_owned()).to_vec(), names);
    }

    #[test]
    fn hotter_cones_are_hotter_in_every_column_but_where_memory_is_doubtful() {
        for column in 0..7 {
            let filled: Vec<(&str, u16)> =
                ROWS.iter().filter_map(|row| Some((row.cone, row.c[column]?))).collect();
            for pair in filled.windows(2) {
                assert!(pair[0].1 < pair[1].1, "column {column}: {pair:?}");
            }
        }
        let doubtful = |row: &&Row| {
            Chart::ALL.iter().any(|chart| {
                !entries(*chart, row).is_sorted_by(|one, two| one.temperature_c <= two.temperature_c)
            })
        };
        let doubted: Vec<&str> = ROWS.iter().filter(doubtful).map(|row| row.cone).collect();
        assert_eq!(doubted, ["14"]);
    }

    #[test]
    fn interpolates_between_two_rates_and_says_so() {
        let found = at("10", 78.0, None);
        let between =
            found.clone().map(|it| it.between.map(|(low, high)| (low.rate_c_per_h, high.rate_c_per_h)));
        assert_eq!(between, Ok(Some((60.0, 150.0))));
        assert_eq!(found.map(|it| it.temperature_c), Ok(1289.0));
    }

    #[test]
    fn a_rate_that_no_chart_has_is_refused_with_those_there_are() {
        assert_eq!(
            at("10", 200.0, None),
            Err("no chart has cone 10 at this rate; give 15 to 150 (self-supporting) or 60 to 150 (large) or 300 (small) or 150 (large-1950s) in °C/h".to_owned())
        );
        assert_eq!(
            at("022", 15.0, Some(Chart::SelfSupporting)),
            Err("no chart has cone 022 at this rate; give 60 to 150 (self-supporting) in °C/h".to_owned())
        );
        assert_eq!(
            at("14", 150.0, Some(Chart::LargeOld)),
            Err("no chart has cone 14 at this rate; give another chart: this one has no value for this cone"
                .to_owned())
        );
    }
}
