//! By which door a request came: through a proxy, by https or by http, with a cookie of the one or the other.
//!
//! What this does not do: set up; the tests beside it do.
use super::*;

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
    assert_eq!(page.header("cross-origin-opener-policy"), "", "browsers complain of it there");
    let page = studio.ask(get("/", PHONE).with("cookie", &both)).await?;
    assert!(!page.body.contains("Over plain http"));
    assert_eq!(page.header("cross-origin-opener-policy"), "same-origin");
    Ok(())
}

#[tokio::test]
async fn a_request_without_a_known_origin_is_a_stranger_s() -> Done {
    let studio = studio(Reach::Network)?;
    let request = Request::builder().uri("/api/v1/events").header(header::HOST, HOST).body(Body::empty())?;
    let answer = router(studio.state.clone()).oneshot(request).await?;
    assert_eq!(answer.status(), StatusCode::UNAUTHORIZED);
    Ok(())
}
