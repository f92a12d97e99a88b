//! WebDriver commands beyond the standard ones that fantoccini names: the browser's log, its developer
//! protocol, an element's role and name.
use anyhow::Result;
use fantoccini::Client;
use fantoccini::elements::Element;
use fantoccini::wd::WebDriverCompatibleCommand;
use http::Method;
use serde_json::{Value, json};
use url::{ParseError, Url};

/// One command of the session.
#[derive(Debug)]
struct Raw {
    method: Method,
    /// Below `session/ID/`.
    path: String,
    body: Option<Value>,
}

impl WebDriverCompatibleCommand for Raw {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, ParseError> {
        base.join(&format!("session/{}/{}", session.unwrap_or_default(), self.path))
    }

    fn method_and_body(&self, _: &Url) -> (Method, Option<String>) {
        (self.method.clone(), self.body.as_ref().map(Value::to_string))
    }
}

/// What the console has said since this was last asked, one JSON object a line.
pub async fn browser_log(client: &Client) -> Result<Vec<Value>> {
    let body = Some(json!({ "type": "browser" }));
    let answer = client.issue_cmd(Raw { method: Method::POST, path: "se/log".into(), body }).await?;
    Ok(answer.as_array().cloned().unwrap_or_default())
}

/// A command of Chromium's developer protocol.
pub async fn devtools(client: &Client, command: &str, parameters: Value) -> Result<Value> {
    let body = Some(json!({ "cmd": command, "params": parameters }));
    Ok(client.issue_cmd(Raw { method: Method::POST, path: "goog/cdp/execute".into(), body }).await?)
}

/// The name that a screen reader speaks for an element.
pub async fn spoken_name(client: &Client, element: &Element) -> Result<String> {
    computed(client, element, "computedlabel").await
}

/// The role that a screen reader speaks for an element.
pub async fn spoken_role(client: &Client, element: &Element) -> Result<String> {
    computed(client, element, "computedrole").await
}

async fn computed(client: &Client, element: &Element, what: &str) -> Result<String> {
    let path = format!("element/{}/{what}", element.element_id().as_ref());
    let answer = client.issue_cmd(Raw { method: Method::GET, path, body: None }).await?;
    Ok(answer.as_str().unwrap_or_default().to_owned())
}
