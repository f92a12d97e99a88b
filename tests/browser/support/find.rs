//! Finding things as people do: by the text beside a field, by what a screen reader says.
use super::wire::{spoken_name, spoken_role};
use anyhow::Result;
use fantoccini::elements::Element;
use fantoccini::error::{CmdError, ErrorStatus};
use fantoccini::{Client, Locator};

/// The field whose label reads exactly `label`; `None` when there is none yet.
pub async fn field(client: &Client, label: &str) -> Result<Option<Element>> {
    let quoted = quoted(label);
    let path = format!(
        "//*[self::input or self::select or self::textarea][not(@type='hidden')]\
         [ancestor::label[contains(normalize-space(.), {quoted})] \
         or @id=//label[contains(normalize-space(.), {quoted})]/@for \
         or contains(@aria-label, {quoted}) or @aria-labelledby]"
    );
    named(client, &path, None, label).await
}

/// The displayed element of a role (`button`, `link`, `heading`, `radio` …) with exactly this spoken name.
pub async fn role(client: &Client, role: &str, name: &str) -> Result<Option<Element>> {
    let quoted = quoted(name);
    let tags = match role {
        "button" => "self::button or self::summary or self::input[@type='submit']",
        "link" => "self::a[@href]",
        "heading" => "self::h1 or self::h2 or self::h3 or self::h4",
        "radio" => "self::input[@type='radio']",
        "checkbox" => "self::input[@type='checkbox']",
        _ => "false()",
    };
    // A field's name may stand elsewhere; of the others, the name is text inside or an attribute.
    let narrowed = match role {
        "radio" | "checkbox" => "true()".to_owned(),
        _ => format!(
            "contains(normalize-space(.), {quoted}) or contains(@aria-label, {quoted}) or contains(@value, {quoted}) \
             or @aria-labelledby or .//*[@aria-label or @aria-hidden or self::img or local-name()='svg']"
        ),
    };
    let path = format!("//*[{tags} or @role={}][{narrowed}]", self::quoted(role));
    named(client, &path, Some(role), name).await
}

/// The first displayed element at `path` that is spoken so.
async fn named(client: &Client, path: &str, role: Option<&str>, name: &str) -> Result<Option<Element>> {
    for element in client.find_all(Locator::XPath(path)).await? {
        match is_spoken(client, &element, role, name).await {
            Ok(true) => return Ok(Some(element)),
            Ok(false) => {}
            // The page was drawn again meanwhile; who asked asks again.
            Err(problem) if is_stale(&problem) => return Ok(None),
            Err(problem) => return Err(problem),
        }
    }
    Ok(None)
}

async fn is_spoken(client: &Client, element: &Element, role: Option<&str>, name: &str) -> Result<bool> {
    if spoken_name(client, element).await?.split_whitespace().ne(name.split_whitespace()) {
        return Ok(false);
    }
    if let Some(role) = role
        && spoken_role(client, element).await? != role
    {
        return Ok(false);
    }
    Ok(element.is_displayed().await?)
}

/// Whether the element that was asked about is no longer in the page.
pub fn is_stale(problem: &anyhow::Error) -> bool {
    let gone = |cause: &CmdError| matches!(cause, CmdError::Standard(said) if said.error == ErrorStatus::StaleElementReference);
    problem.downcast_ref().is_some_and(gone)
}

/// Whether something else would have been touched.
pub fn is_covered(problem: &CmdError) -> bool {
    matches!(problem, CmdError::Standard(said) if said.error == ErrorStatus::ElementClickIntercepted)
}

/// Text as XPath writes it; XPath 1.0 has no escapes, so a text with both quotes is put together.
pub fn quoted(text: &str) -> String {
    if !text.contains('\'') {
        return format!("'{text}'");
    }
    if !text.contains('"') {
        return format!("\"{text}\"");
    }
    let parts: Vec<String> = text.split('\'').map(|part| format!("'{part}'")).collect();
    format!("concat({})", parts.join(", \"'\", "))
}
