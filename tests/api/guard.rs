//! The guard around every URL: hosts, other sites, headers, and that reading changes nothing.
use crate::harness::{Device, Done, Server};
use serde_json::json;

const JSON: (&str, &str) = ("content-type", "application/json");

#[test]
fn another_host_s_name_is_not_answered() -> Done {
    let server = Server::start()?;
    let own = server.url.trim_start_matches("http://").to_owned();
    for (host, status) in [(own.as_str(), 200), ("localhost:1234", 200), ("studio.example", 421)] {
        assert_eq!(server.get_with("/api/v1/events", &[("host", host)])?.status, status, "{host}");
    }
    let answer = server.post_with("[]", &[JSON, ("host", "studio.example")])?;
    assert_eq!(answer.status, 421);
    assert!(answer.body["error"].to_string().contains(&own), "it says where to go: {answer:?}");
    Ok(())
}

#[test]
fn a_write_from_another_site_changes_nothing() -> Done {
    let server = Server::start()?;
    let own = server.url.clone();
    let event = json!([Device::new(1).event()]).to_string();
    let cases: [(&[(&str, &str)], u16); 9] = [
        (&[("sec-fetch-site", "cross-site")], 403),
        (&[("sec-fetch-site", "same-site")], 403),
        (&[("origin", "http://studio.example")], 403),
        (&[("origin", "http://127.0.0.1:1")], 403),
        (&[("origin", "null")], 403),
        (&[("cookie", "a=b")], 403),
        (&[("origin", own.as_str()), ("cookie", "a=b")], 200),
        (&[("sec-fetch-site", "same-origin"), ("cookie", "a=b")], 200),
        (&[], 200),
    ];
    for (headers, status) in cases {
        let all: Vec<(&str, &str)> = headers.iter().copied().chain([JSON]).collect();
        let before = server.get("/api/v1/events")?.body["last_seq"].clone();
        let answer = server.post_with(&event, &all)?;
        assert_eq!(answer.status, status, "{headers:?}");
        if status == 403 {
            assert_eq!(server.get("/api/v1/events")?.body["last_seq"], before, "{headers:?}");
        }
    }
    Ok(())
}

#[test]
fn every_answer_carries_the_headers() -> Done {
    let server = Server::start()?;
    let answers = [
        server.get("/")?,
        server.get("/api/v1/events")?,
        server.get("/api/nothing")?,
        server.get("/assets/nothing.js")?,
        server.get("/no/such/page")?,
        server.get_with("/", &[("host", "studio.example")])?,
        server.post_with("[]", &[])?,
    ];
    for answer in answers {
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"), "{answer:?}");
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"), "{answer:?}");
        assert_eq!(answer.header("x-frame-options"), Some("DENY"), "{answer:?}");
        let policy = answer.header("content-security-policy").unwrap_or_default();
        assert!(policy.contains("frame-ancestors 'none'"), "{answer:?}");
        assert!(!policy.contains("unsafe-inline"), "{answer:?}");
    }
    assert_eq!(server.get("/api/v1/events")?.header("cache-control"), Some("no-store"));
    Ok(())
}

#[test]
fn reading_changes_nothing() -> Done {
    let server = Server::start()?;
    server.post(&json!(Device::new(1).events(2)))?;
    let journal = server.folder().join("journal/events-000001.txt");
    let before = std::fs::read(&journal)?;
    for path in ["/", "/api/v1/events", "/api/v1/events?since=1", "/shelves", "/settings", "/nothing"] {
        server.get(path)?;
    }
    assert_eq!(std::fs::read(&journal)?, before);
    assert_eq!(server.get("/api/nothing")?.status, 404);
    Ok(())
}
