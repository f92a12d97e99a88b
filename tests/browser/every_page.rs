//! Every kind of page of the demo, by day, in the dark and without JavaScript.
use anyhow::{Context as _, Result, bail, ensure};
use browser_support::{Look, Phone, Studio};
use std::collections::{BTreeMap, VecDeque};

/// Follows every link of the demo, one page of each kind, and checks each page.
pub async fn walk(look: Look) -> Result<()> {
    let mut findings = Vec::new();
    let kinds = each_kind(look, async |phone, _| {
        if let Err(problem) = phone.journey_end().await {
            findings.push(format!("{problem:#}"));
        }
        Ok(())
    })
    .await?;
    if !findings.is_empty() {
        bail!("{} of {kinds} kinds of page:\n{}", findings.len(), findings.join("\n\n"));
    }
    Ok(())
}

/// Opens one page of each kind that a link of the demo leads to; returns how many kinds there are.
pub async fn each_kind(look: Look, mut check: impl AsyncFnMut(&Phone, &str) -> Result<()>) -> Result<usize> {
    let phone = Phone::with(Studio::Demo, look).await?;
    let mut kinds = BTreeMap::from([("/".to_owned(), "/".to_owned())]);
    let mut next = VecDeque::from(["/".to_owned()]);
    while let Some(path) = next.pop_front() {
        phone.open(&path).await.with_context(|| format!("at {path}"))?;
        check(&phone, &path).await.with_context(|| format!("at {path}"))?;
        for link in links(&phone).await? {
            if !kinds.contains_key(&kind(&link)) {
                kinds.insert(kind(&link), link.clone());
                next.push_back(link);
            }
        }
    }
    ensure!(kinds.len() > 1, "the home page leads nowhere");
    Ok(kinds.len())
}

/// The links of a page to other pages of this server.
async fn links(phone: &Phone) -> Result<Vec<String>> {
    let script = "return [...document.querySelectorAll('a[href]')].filter(a => a.origin === location.origin)
        .map(a => a.pathname).filter(path => !path.startsWith('/api/') && !path.startsWith('/assets/'))";
    let found = phone.client().execute(script, vec![]).await?;
    Ok(found.as_array().into_iter().flatten().filter_map(|path| path.as_str()).map(str::to_owned).collect())
}

/// Pages that differ only in a code or an id are of one kind: a part with a digit counts as any other.
fn kind(path: &str) -> String {
    let parts =
        path.split('/').map(|part| if part.contains(|c: char| c.is_ascii_digit()) { "*" } else { part });
    parts.collect::<Vec<_>>().join("/")
}

#[tokio::test]
async fn every_page_is_accessible_by_day() -> Result<()> {
    walk(Look::PHONE).await
}

#[tokio::test]
async fn every_page_is_accessible_in_the_dark() -> Result<()> {
    walk(Look::DARK).await
}

#[tokio::test]
async fn every_page_is_accessible_without_javascript() -> Result<()> {
    walk(Look::PLAIN).await
}
