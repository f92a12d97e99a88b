//! A kiln's inside and plans, through the pages' own forms as a browser without JavaScript posts them.
use crate::harness::{Done, Server, serve_command};
use std::collections::BTreeMap;
use tempfile::TempDir;

/// A server with the demo studio.
fn demo(folder: &TempDir) -> Result<Server, Box<dyn std::error::Error>> {
    let mut command = serve_command(folder.path());
    command.arg("--demo");
    Server::spawn(command)
}

fn page(server: &Server, path: &str) -> Result<String, Box<dyn std::error::Error>> {
    let (_, bytes) = server.file(path)?;
    Ok(String::from_utf8(bytes)?)
}

/// Posts a form; where it leads, or the page that came back.
fn send(
    server: &Server,
    path: &str,
    fields: &[(&str, &str)],
) -> Result<(u16, String), Box<dyn std::error::Error>> {
    let mut body = url::form_urlencoded::Serializer::new(String::new());
    body.extend_pairs(fields);
    let origin = server.url.clone();
    let headers = [("content-type", "application/x-www-form-urlencoded"), ("origin", origin.as_str())];
    let answer = server.post_to(path, &body.finish(), &headers)?;
    let next = answer.header("location").unwrap_or_default().to_owned();
    Ok((answer.status, if next.is_empty() { answer.body.to_string() } else { next }))
}

/// The first address of a kind on a page.
fn link(html: &str, before: &str) -> Result<String, Box<dyn std::error::Error>> {
    let start = html.find(before).ok_or_else(|| format!("no {before} on the page"))?;
    let rest = &html[start..];
    let end = rest.find(['"', '?', '&']).unwrap_or(rest.len());
    Ok(rest[..end].to_owned())
}

#[test]
fn a_chamber_and_a_plan_are_posted_overruled_ticked_and_fired() -> Done {
    let folder = TempDir::new()?;
    let server = demo(&folder)?;
    let heron = "/kiln/heron";
    let kiln = page(&server, heron)?;
    assert!(kiln.contains("spring line at 900 mm"), "found by its name, drawn and said");
    let inside = link(&kiln, "/kiln/0")?;
    let chamber = [
        ("do", "inside"),
        ("form", "box"),
        ("width", "1020"),
        ("depth", "860"),
        ("height", "1200"),
        ("place_1_name", "only"),
        ("place_1_x", "210"),
        ("place_1_y", "280"),
        ("place_1_l", "600"),
        ("place_1_w", "300"),
    ];
    let bad: Vec<_> = chamber.iter().map(|(n, v)| (*n, if *n == "height" { "" } else { *v })).collect();
    let (status, _) = send(&server, &inside, &bad)?;
    assert_eq!(status, 422);
    let (status, next) = send(&server, &inside, &chamber)?;
    assert_eq!(status, 303, "{next}");
    assert!(page(&server, &next)?.contains("Box: 1020 mm wide"));

    let id = inside.trim_start_matches("/kiln/").trim_end_matches("/inside");
    let new = format!("/plans/new?kiln={id}");
    assert!(page(&server, &new)?.contains("only"), "the new place is asked for");
    let plan = [
        ("do", "plan"),
        ("name", "a try"),
        ("ware", "glaze"),
        ("cone", "10"),
        ("count_1_1", "1"),
        ("count_1_2", "2"),
    ];
    let (status, next) = send(&server, &new, &plan)?;
    assert_eq!(status, 303, "{next}");
    let plan = next.split('?').next().unwrap_or_default().to_owned();
    let shown = page(&server, &plan)?;
    assert!(shown.contains("a try") && shown.contains("From the front, to scale"));
    assert!(!shown.contains("to choose"), "shelves and sets were found for all three");

    overrule(&server, &plan)?;
    let sheet = format!("{plan}/sheet");
    let tick = [("do", "tick"), ("place", "only"), ("layer", "1"), ("loaded", "yes")];
    assert_eq!(send(&server, &sheet, &tick)?.0, 303);
    assert!(page(&server, &sheet)?.contains("1 of 3 layers in the kiln"));
    fire(&server, &plan, id)
}

/// Takes the bottom shelf out, which no check lets pass, and overrules the line.
fn overrule(server: &Server, plan: &str) -> Done {
    let layer = format!("{plan}/layer/1/1");
    let fields = fields(&page(server, &layer)?, "layer");
    let changed: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), if name == "shelf1" { "open" } else { value.as_str() }))
        .collect();
    let (status, next) = send(server, &layer, &changed)?;
    assert_eq!(status, 303, "{next}");
    let shown = page(server, plan)?;
    assert!(shown.contains("do not load"), "{shown}");
    let start = shown.find("id=\"overrule-line\"").ok_or("lines to overrule")?;
    let value = shown[start..].find("value=\"").ok_or("a line")? + start + 7;
    let line = shown[value..].split('"').next().unwrap_or_default().replace("&amp;", "&");
    let (status, _) = send(server, plan, &[("do", "overrule"), ("line", &line), ("reason", "")])?;
    assert_eq!(status, 422, "a reason is wanted");
    let reason = [("do", "overrule"), ("line", line.as_str()), ("reason", "borrowed from next door")];
    let (status, next) = send(server, plan, &reason)?;
    assert_eq!(status, 303, "{next}");
    assert!(page(server, plan)?.contains("borrowed from next door"));
    Ok(())
}

fn fire(server: &Server, plan: &str, kiln: &str) -> Done {
    let plan_id = plan.trim_start_matches("/plan/");
    let address = format!("/firings/new?kiln={kiln}&plan={plan_id}");
    let form = page(server, &address)?;
    let codes = ticked(&form);
    assert!((8..=14).contains(&codes.len()), "two shelves and nine posts: {codes:?}");
    let mut body = vec![("do", "firing"), ("ware", "glaze"), ("cone", "10"), ("date", "2026-11-24")];
    body.extend(codes.iter().map(|code| ("in", code.as_str())));
    let (status, next) = send(server, &address, &body)?;
    assert_eq!(status, 303, "{next}");
    let firing = page(server, &next)?;
    assert!(firing.contains("Loaded by the plan a try") && firing.contains("borrowed from next door"));
    assert!(page(server, plan)?.contains("Fired on"));
    Ok(())
}

/// The values of the ticked boxes called "in".
fn ticked(html: &str) -> Vec<String> {
    let boxes = html.split("<input type=\"checkbox\" name=\"in\"").skip(1);
    boxes
        .filter_map(|rest| {
            let tag = rest.split('>').next()?;
            let value = tag.split("value=\"").nth(1)?.split('"').next()?;
            tag.contains("checked").then(|| value.to_owned())
        })
        .collect()
}

/// What a form's fields hold, as a browser would post them.
fn fields(html: &str, action: &str) -> BTreeMap<String, String> {
    let mut found = BTreeMap::from([("do".to_owned(), action.to_owned())]);
    for tag in html.split('<').filter(|tag| tag.starts_with("input type=\"text\"")) {
        let of = |name: &str| tag.split(&format!("{name}=\"")).nth(1).and_then(|rest| rest.split('"').next());
        if let Some(name) = of(" name") {
            found.insert(name.to_owned(), of(" value").unwrap_or_default().to_owned());
        }
    }
    for list in html.split("<select").skip(1) {
        let list = list.split("</select>").next().unwrap_or_default();
        let name = list.split("name=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap_or_default();
        let chosen = list
            .split("<option")
            .find(|option| option.split('>').next().is_some_and(|tag| tag.contains("selected")));
        let value =
            chosen.and_then(|option| option.split("value=\"").nth(1)).and_then(|rest| rest.split('"').next());
        found.insert(name.to_owned(), value.unwrap_or_default().to_owned());
    }
    found
}
