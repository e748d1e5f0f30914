//! A headless browser, started for one test and ended with it.

use std::fmt::Debug;
use std::future::Future;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};

/// Set (to anything) where the browser must be there: its absence is then a failure and no reason to skip.
const REQUIRED: &str = "SPANWRIGHT_BROWSER_REQUIRED";

/// Set to `none` where a browser is installed but does not start.
const BROWSER: &str = "SPANWRIGHT_BROWSER";

const BROWSERS: [&str; 2] = ["/usr/bin/chromium", "/usr/bin/chromium-browser"];
const DRIVERS: [&str; 2] = ["/usr/bin/chromedriver", "/usr/bin/chromium-driver"];

/// A running driver with one session; the profile lies in a folder of its own.
struct Session {
    driver: Child,
    client: Client,
    _profile: tempfile::TempDir,
}

/// Runs a test in a browser, or says why it is skipped.
pub fn with_browser<F, R>(test: F)
where
    F: FnOnce(Client) -> R,
    R: Future<Output = ()> + Send + 'static,
{
    if std::env::var_os(BROWSER).is_some_and(|said| said == "none") {
        eprintln!("skipped: {BROWSER} is none");
        return;
    }
    let find = |paths: [&'static str; 2]| paths.into_iter().find(|path| Path::new(path).exists());
    let (Some(browser), Some(driver)) = (find(BROWSERS), find(DRIVERS)) else {
        assert!(std::env::var_os(REQUIRED).is_none(), "{REQUIRED} is set and no browser is installed");
        eprintln!(
            "skipped: no headless browser here (Debian: apt-get install chromium chromium-driver)"
        );
        return;
    };
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    runtime.block_on(async {
        let mut session = start(browser, driver).await;
        let done = tokio::spawn(test(session.client.clone())).await;
        // Closed before a failure is passed on, so that no browser outlives its test.
        let _ = session.client.clone().close().await;
        let _ = session.driver.kill();
        let _ = session.driver.wait();
        if let Err(failure) = done {
            std::panic::resume_unwind(failure.into_panic());
        }
    });
}

async fn start(browser: &str, driver: &str) -> Session {
    let profile = tempfile::tempdir().expect("a folder");
    let mut child = Command::new(driver)
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the driver starts");
    let lines = BufReader::new(child.stdout.take().expect("its output")).lines();
    let port = lines
        .map_while(Result::ok)
        .find_map(|line| {
            let rest = line.split("successfully on port ").nth(1)?.to_string();
            rest.trim_end_matches('.').parse::<u16>().ok()
        })
        .expect("the driver names its port");
    let flags = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--disable-dev-shm-usage",
        "--hide-scrollbars",
    ];
    let mut arguments: Vec<String> = flags.iter().map(ToString::to_string).collect();
    arguments.push(format!("--user-data-dir={}", profile.path().display()));
    let capabilities = json!({
        "goog:chromeOptions": { "binary": browser, "args": arguments },
        "goog:loggingPrefs": { "browser": "ALL" },
    });
    let Value::Object(capabilities) = capabilities else { unreachable!("an object was written") };
    let client = ClientBuilder::new(HttpConnector::new())
        .capabilities(capabilities)
        .connect(&format!("http://127.0.0.1:{port}"))
        .await
        .expect("a session");
    Session { driver: child, client, _profile: profile }
}

/// A command of the driver that the protocol itself does not have.
#[derive(Debug)]
struct Extension {
    path: &'static str,
    body: Value,
}

impl WebDriverCompatibleCommand for Extension {
    fn endpoint(
        &self,
        base_url: &url::Url,
        session_id: Option<&str>,
    ) -> Result<url::Url, url::ParseError> {
        base_url.join(&format!("session/{}/{}", session_id.unwrap_or_default(), self.path))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.body.to_string()))
    }
}

/// What the page wrote to the console, and what the browser complained about.
pub async fn console(client: &Client) -> Vec<Value> {
    let command = Extension { path: "se/log", body: json!({ "type": "browser" }) };
    let log = client.issue_cmd(command).await.expect("the log");
    log.as_array().cloned().unwrap_or_default()
}

/// A command of the browser's own protocol.
pub async fn protocol(client: &Client, name: &str, parameters: Value) -> Value {
    let body = json!({ "cmd": name, "params": parameters });
    client.issue_cmd(Extension { path: "goog/cdp/execute", body }).await.expect("the command is known")
}
