//! Codes, cookies and proxies, met from the network.
use super::{Done, HERE, PHONE, get, post, studio};
use crate::access::Reach;
use axum::http::{Method, StatusCode};
use jiff::{SignedDuration, Timestamp};

#[tokio::test]
async fn a_code_is_good_once_and_looking_takes_nothing() -> Done {
    let studio = studio(Reach::Network)?;
    let code = studio.code()?;
    let link = format!("/pair?code={}&next=%2Fshelf%2FF07", code.letters());
    for method in [Method::GET, Method::HEAD, Method::GET] {
        let mut ask = get(&link, PHONE);
        ask.method = method;
        assert_eq!(studio.ask(ask).await?.status, StatusCode::OK);
    }
    let shown = studio.ask(get(&link, PHONE)).await?;
    assert!(shown.body.contains(&code.to_string()) && shown.body.contains("/shelf/F07"), "{shown:?}");
    assert!(shown.header("set-cookie").is_empty());
    let body = format!("code={code}&name=phone&next=%2Fshelf%2FF07");
    let unnamed = studio.ask(post("/pair", PHONE, &format!("code={code}&name=+"))).await?;
    assert_eq!(unnamed.status, StatusCode::UNPROCESSABLE_ENTITY, "a slip in the name costs no code");
    let first = studio.ask(post("/pair", PHONE, &body)).await?;
    assert_eq!((first.status, first.header("location")), (StatusCode::SEE_OTHER, "/shelf/F07"));
    let second = studio.ask(post("/pair", "192.168.1.21:1", &body)).await?;
    assert_eq!(second.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(second.body.contains("phone"), "what was typed comes back");
    assert_eq!(studio.access.devices.all().len(), 1);
    Ok(())
}

#[tokio::test]
async fn a_code_runs_out() -> Done {
    let studio = studio(Reach::Network)?;
    let long_ago = Timestamp::now() - SignedDuration::from_secs(601);
    let code = studio.access.codes().make(long_ago)?.code;
    let answer = studio.ask(post("/pair", PHONE, &format!("code={code}&name=phone"))).await?;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!studio.access.devices.any());
    Ok(())
}

#[tokio::test]
async fn wrong_codes_have_to_wait_but_not_for_ever() -> Done {
    let studio = studio(Reach::Network)?;
    let code = studio.code()?;
    let wrong = if code.letters() == "CCCCCCCC" { "DDDDDDDD" } else { "CCCCCCCC" };
    let wrong = format!("code={wrong}&name=phone");
    let right = format!("code={code}&name=phone");
    assert_eq!(studio.ask(post("/pair", PHONE, &wrong)).await?.status, StatusCode::UNPROCESSABLE_ENTITY);
    let early = studio.ask(post("/pair", PHONE, &right)).await?;
    assert_eq!(early.status, StatusCode::TOO_MANY_REQUESTS);
    let wait_s: u64 = early.header("retry-after").parse()?;
    assert!((1..=2).contains(&wait_s));
    assert!(!studio.access.devices.any(), "the right code, too early, lets nobody in");
    // Another phone is not held up by the first one's slip.
    let other = studio.ask(post("/pair", "192.168.1.21:1", &right)).await?;
    assert_eq!(other.status, StatusCode::SEE_OTHER);
    Ok(())
}

#[tokio::test]
async fn what_a_proxy_passed_on_is_not_this_machine_s_own() -> Done {
    for reach in [Reach::Network, Reach::ThisMachine] {
        let alone = reach == Reach::ThisMachine;
        let studio = studio(reach)?;
        for name in ["x-forwarded-for", "forwarded", "x-real-ip", "x-forwarded-proto", "x-forwarded-host"] {
            let answer = studio.ask(get("/api/v1/events", HERE).with(name, "127.0.0.1")).await?;
            let refused = if alone { StatusCode::FORBIDDEN } else { StatusCode::UNAUTHORIZED };
            assert_eq!(answer.status, refused, "{name}");
        }
        // Nor does a phone become this machine by saying so.
        let claim = get("/api/v1/events", PHONE).with("x-forwarded-for", "127.0.0.1");
        assert_ne!(studio.ask(claim).await?.status, StatusCode::OK);
    }
    Ok(())
}

#[tokio::test]
async fn behind_a_proxy_everybody_is_paired() -> Done {
    let studio = studio(Reach::Proxy)?;
    assert_eq!(studio.ask(get("/api/v1/events", HERE)).await?.status, StatusCode::UNAUTHORIZED);
    let body = format!("code={}&name=laptop", studio.code()?);
    let ask = post("/pair", HERE, &body).with("x-forwarded-proto", "https").over_http();
    let answer = studio.ask(ask).await?;
    assert!(answer.cookie().starts_with("__Host-tripoise="), "{answer:?}");
    assert!(answer.header("set-cookie").contains("; Secure"));
    let cookie = answer.cookie().to_owned();
    let ask = get("/api/v1/events", HERE).with("x-forwarded-proto", "https").with("cookie", &cookie);
    assert_eq!(studio.ask(ask).await?.status, StatusCode::OK);
    // Each is slowed down by the address that the proxy saw, not by what a client wrote before it.
    for (forwarded, status) in [
        ("203.0.113.5", StatusCode::UNPROCESSABLE_ENTITY),
        ("198.51.100.1, 203.0.113.5", StatusCode::TOO_MANY_REQUESTS),
        ("203.0.113.5, 203.0.113.6", StatusCode::UNPROCESSABLE_ENTITY),
    ] {
        let ask = post("/pair", HERE, "code=CCCCCCCC&name=x").with("x-forwarded-for", forwarded);
        assert_eq!(studio.ask(ask).await?.status, status, "{forwarded}");
    }
    Ok(())
}

#[tokio::test]
async fn a_cookie_belongs_to_its_door() -> Done {
    let studio = studio(Reach::Network)?;
    let secure = studio.paired("phone").await?;
    assert!(secure.starts_with("__Host-tripoise="));
    let over_http = get("/api/v1/events", PHONE).with("cookie", &secure).over_http();
    assert_eq!(studio.ask(over_http).await?.status, StatusCode::UNAUTHORIZED);
    let body = format!("code={}&name=old+phone", studio.code()?);
    let ask = post("/pair", PHONE, &body).with("origin", "http://tripoise.local:7443").over_http();
    let answer = studio.ask(ask).await?;
    let plain = answer.header("set-cookie");
    assert!(plain.starts_with("tripoise=") && !plain.contains("Secure"), "{plain}");
    for attribute in ["Path=/", "HttpOnly", "SameSite=Lax", "Max-Age=34560000"] {
        assert!(plain.contains(attribute), "{plain}");
    }
    let both = format!("other=1; {}", answer.cookie());
    for ask in [get("/", PHONE).over_http(), get("/", PHONE)] {
        assert_eq!(studio.ask(ask.with("cookie", &both)).await?.status, StatusCode::OK);
    }
    let page = studio.ask(get("/", PHONE).over_http().with("cookie", &both)).await?;
    assert!(page.body.contains("Over plain http"), "what the page lacks is said");
    let page = studio.ask(get("/", PHONE).with("cookie", &both)).await?;
    assert!(!page.body.contains("Over plain http"));
    Ok(())
}
