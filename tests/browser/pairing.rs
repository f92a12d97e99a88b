//! A phone on the network: it meets the pairing page, is let in with a code, is shut out again.
use anyhow::{Result, ensure};
use browser_support::{Lens, Look, Phone, Server, Studio};

async fn come_in_and_be_shut_out(look: Look) -> Result<()> {
    let phone = Phone::before(Server::start_on_network(Studio::Demo)?, look, &Lens::Absent).await?;
    phone.open("/rack?show=shelves").await?;
    ensure!(phone.path().await?.starts_with("/pair"), "a stranger saw {}", phone.path().await?);
    phone.journey_end().await?;
    phone.follow("set this device up").await?;
    phone.sees("iPhone and iPad").await?;
    phone.journey_end().await?;
    phone.open("/rack?show=shelves").await?;
    let code = phone.server.pairing_code()?;
    let wrong = if code == "CCCC-CCCC" { "DDDD-DDDD" } else { "CCCC-CCCC" };
    phone.fill("Pairing code", wrong).await?;
    phone.fill("What this device is called", "phone by the kiln").await?;
    phone.submit("Pair this device").await?;
    phone.sees("That is not the code").await?;
    // The browser tells of an answer 422 on its console; that is what was asked for.
    drop(phone.take_console_errors().await?);
    phone.journey_end().await?;
    // The name is still there. A wrong code costs a second.
    tokio::time::sleep(std::time::Duration::from_millis(1_100)).await;
    phone.fill("Pairing code", &code.to_lowercase()).await?;
    phone.submit("Pair this device").await?;
    ensure!(phone.path().await?.starts_with("/rack"), "the way on was lost: {}", phone.path().await?);
    phone.sees("Over plain http").await?;
    phone.journey_end().await?;
    phone.open("/devices").await?;
    phone.sees("phone by the kiln").await?;
    phone.journey_end().await?;
    phone.client().execute("document.querySelector('details').open = true", vec![]).await?;
    phone.submit("Shut out phone by the kiln").await?;
    ensure!(phone.path().await?.starts_with("/pair"), "it is still in: {}", phone.path().await?);
    phone.journey_end().await
}

#[tokio::test]
async fn a_phone_comes_in_with_a_code_and_is_shut_out() -> Result<()> {
    come_in_and_be_shut_out(Look::PHONE).await
}

#[tokio::test]
async fn a_phone_comes_in_without_javascript_in_the_dark() -> Result<()> {
    come_in_and_be_shut_out(Look { dark: true, ..Look::PLAIN }).await
}
