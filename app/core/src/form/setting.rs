//! Reads `/settings/NAME`.
use super::piece::needed_note;
use super::quantity::{Feelers, read_count, read_length, read_ratio, read_thousandths};
use super::{FormValues, Problem, Reader, Submission, no_form};
use crate::event::{Body, SettingChanged};
use crate::settings::Quantity;
use crate::view::Page;
use crate::view::history::setting_value;
use crate::view::settings::{SettingPage, is_percent};

/// A change with its reason; the other button goes back to the default.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &SettingPage, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let corrected = page.correcting.as_ref().map(|correcting| &correcting.body);
    let of_another =
        corrected.is_some_and(|body| !matches!(body, Body::SettingChanged(b) if b.key == data.key));
    if values.get("do") != "change" || of_another {
        return Err(no_form(values));
    }
    let about = data.key.about();
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let back = reader.ticked("back");
    let (value, text) = if back {
        (Ok(about.default), "the default".to_owned())
    } else {
        let text = reader.text("value").to_owned();
        (value(page, data, &text), text)
    };
    let value = match value {
        Ok(value) if !(about.low..=about.high).contains(&value) => {
            let shown = setting_value(data.key, value, page.unit);
            reader.problem("value", format!("{shown} cannot be; give {}", data.range));
            None
        }
        Ok(value) if value == data.now && corrected.is_none() => {
            let shown = setting_value(data.key, value, page.unit);
            reader.problem("value", format!("{shown} is in force already; give another value"));
            None
        }
        Ok(value) => Some(value),
        Err(cause) => {
            reader.problem("value", cause);
            None
        }
    };
    let reason = needed_note(&mut reader, "reason", "say why it is changed");
    let value = reader.finish(value)?;
    let body = SettingChanged { key: data.key, value, text, reason };
    Ok(Submission::new(vec![body.into()], "/settings"))
}

/// The value in the setting's own whole unit. A share may be typed without its sign.
fn value(page: &Page, data: &SettingPage, text: &str) -> Result<i64, String> {
    let about = data.key.about();
    match about.quantity {
        Quantity::Length => read_length(text, page.unit, &Feelers::default()).map(|length| length.0),
        Quantity::Ratio if is_percent(about) && !text.ends_with('%') => read_ratio(&format!("{text} %")),
        Quantity::Ratio => read_ratio(text),
        Quantity::Stress => read_thousandths(text, "MPa"),
        Quantity::Stiffness => read_thousandths(text, "GPa"),
        Quantity::Count | Quantity::LengthUnit => read_count(text, u32::MAX).map(i64::from),
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use crate::settings::SettingKey;
    use crate::testing::{Studio, said};
    use crate::view::PageData;

    /// Changes a setting and says its value then.
    fn change(studio: &mut Studio, key: SettingKey, fields: &[(&str, &str)]) -> Result<i64, Vec<String>> {
        let address = format!("/settings/{}", key.about().name);
        let fields: Vec<_> = [("do", "change")].into_iter().chain(fields.iter().copied()).collect();
        match studio.submit(&address, &fields) {
            Ok(read) => {
                studio.take(read);
                Ok(studio.world().settings.get(key))
            }
            Err(problems) => Err(said(&problems)),
        }
    }

    fn check(key: SettingKey, typed: &str, expected: Result<i64, &str>) {
        let fields = [("value", typed), ("reason", "our shelves are small")];
        let got = change(&mut Studio::default(), key, &fields);
        assert_eq!(got, expected.map_err(|said| vec![format!("value: {said}")]), "{typed}");
    }

    #[test]
    fn values_in_their_own_units() {
        check(SettingKey::SpreadGood, " 0,4 ", Ok(400_000));
        check(SettingKey::SpreadGood, "1/64 in", Ok(396_875));
        check(SettingKey::CrackWatch, "20", Ok(200_000));
        check(SettingKey::CrackWatch, "20 %", Ok(200_000));
        check(SettingKey::SlenderWarn, "5.5", Ok(5_500_000));
        check(SettingKey::SlenderWarn, "5 to 1", Ok(5_000_000));
        check(SettingKey::RecoatMid, "120", Ok(120));
        check(SettingKey::StrengthCordierite, "7,5", Ok(7_500));
        check(SettingKey::StiffnessCordierite, "12 GPa", Ok(12_000));
        check(
            SettingKey::StrengthCordierite,
            "12 GPa",
            Err("\"12 GPa\" is not a figure here; type for example 7.5 MPa"),
        );
        check(SettingKey::ShownUnit, "2", Ok(2));
        check(SettingKey::SpreadGood, "-1", Err("\u{2212}1 mm cannot be; give 0.01 mm to 10 mm"));
        check(SettingKey::CrackWatch, "0.25", Err("0.25 % cannot be; give 1 % to 100 %"));
        check(SettingKey::ShownUnit, "3", Err("millimetres cannot be; give millimetres to inches and 64ths"));
        check(
            SettingKey::RecoatMid,
            "some",
            Err("\"some\" is not a count here; type a whole number up to 4294967295"),
        );
        check(SettingKey::SpreadGood, "0.5 mm", Err("0.5 mm is in force already; give another value"));
    }

    #[test]
    fn a_reason_is_wanted_and_the_default_comes_back() {
        let mut studio = Studio::default();
        let key = SettingKey::SpreadGood;
        let without = change(&mut studio, key, &[("value", "0.4"), ("reason", " ")]);
        assert_eq!(without, Err(vec!["reason: say why it is changed".to_owned()]));
        change(&mut studio, key, &[("value", "0.4"), ("reason", "small ware")]).unwrap();
        let PageData::Setting(page) = studio.get("/settings/spread_good").data else {
            panic!("not the page")
        };
        assert_eq!((page.line.value.as_str(), page.line.default.as_str()), ("0.4 mm", "0.5 mm"));
        assert!(page.line.changed && page.history[0].said.ends_with("because small ware"));
        change(&mut studio, key, &[("value", "9"), ("reason", "a mistake"), ("back", "yes")]).unwrap();
        let PageData::Settings(all) = studio.get("/settings").data else { panic!("not the page") };
        assert!(all.said.starts_with("0 of "), "{}", all.said);
        assert_eq!(studio.world().settings.get(key), 500_000);
    }

    #[test]
    fn the_page_lists_every_setting_with_where_it_comes_from() {
        let PageData::Settings(all) = Studio::default().get("/settings").data else { panic!("not the page") };
        let lines: Vec<_> = all.groups.iter().flat_map(|group| &group.settings).collect();
        assert_eq!(lines.len(), crate::settings::DEFAULTS.len());
        assert!(lines.iter().all(|line| !line.source.is_empty() && !line.provenance.is_empty()));
        let mut titles: Vec<_> = all.groups.iter().map(|group| group.title.as_str()).collect();
        let n_titles = titles.len();
        titles.sort_unstable();
        titles.dedup();
        assert_eq!(titles.len(), n_titles, "a heading stands twice");
        assert!(matches!(Studio::default().get("/settings/nothing").data, PageData::NotFound(_)));
    }
}
