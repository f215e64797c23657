//! The page in a real browser: the site on a server that keeps count of requests, or the page in one
//! file; a headless browser steered by its driver, and what a person does with the two.
//!
//! ```ignore
//! #[test]
//! #[ignore = "run by cargo xtask test"]
//! fn something_the_page_does() {
//!     browse(async |page| {
//!         page.open("").await;
//!         page.idle().await;
//!         assert_eq!(page.text("#some-output").await, "12.3 MPa");
//!         page.assert_clean_console().await;
//!     });
//! }
//! ```
//!
//! The page says on its root element how far it is: `data-ready="true"` once its first window has
//! been drawn, `data-busy="true"` while work is under way and `"false"` when it rests.
//!
//! Every test has its own browser context with nothing stored in it, and its own server; `chromium.rs` says how
//! they share a browser. When a test fails, the screen and the console are left in `failures/` beside the site.

use std::fs;
use std::net::{Ipv4Addr, TcpListener};
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use thirtyfour::BrowserLogEntry;
use thirtyfour::prelude::*;
use tokio::time::sleep;

use crate::chromium::{Context, Loan, RUNTIME};
use crate::devtools::Recording;
pub use crate::driver::setting;
use crate::driver::{Driver, Folder};
use crate::http;

/// How long the first window may take to be drawn, on a loaded machine.
pub const READY: Duration = Duration::from_secs(60);

/// A request that the page made.
#[derive(Clone, Debug)]
pub struct Request {
    /// The path asked for, as sent.
    pub target: String,
    /// The status it was answered with.
    pub status: &'static str,
    /// When.
    pub at: Instant,
}

type Requests = Arc<Mutex<Vec<Request>>>;

/// One tab on one copy of the page.
#[derive(Clone)]
pub struct Page {
    driver: WebDriver,
    address: String,
    requests: Requests,
    /// All that the console has said; the driver gives each entry once.
    console: Arc<Mutex<Vec<BrowserLogEntry>>>,
    folder: Arc<Folder>,
    /// What tabs share in Chromium.
    context: Option<Context>,
}

/// Runs one test on the site, in a Chromium that holds nothing of another test.
pub fn browse(test: impl AsyncFnOnce(&Page)) {
    let loan = Loan::new();
    let (driver, context) = loan.page();
    let outcome = run(&Page::new(driver, Some(context)), test);
    // What comes of a test that has failed nobody knows: its browser is closed.
    match outcome {
        Ok(()) => loan.give_back(),
        Err(panic) => {
            drop(loan);
            resume_unwind(panic);
        }
    }
}

/// The same in a Firefox of its own, which has no console and no emulation of screens to offer.
pub fn browse_firefox(test: impl AsyncFnOnce(&Page)) {
    let process = Driver::start(&setting("GATEFROST_GECKODRIVER"));
    let mut wanted = DesiredCapabilities::firefox();
    (|| {
        wanted.set_firefox_binary(&setting("GATEFROST_FIREFOX").to_string_lossy())?;
        for flag in ["-headless", "--width=1440", "--height=1000"] {
            wanted.add_arg(flag)?;
        }
        WebDriverResult::Ok(())
    })()
    .expect("what the browser is asked for");
    let driver = RUNTIME.block_on(async {
        let driver = WebDriver::new(process.address(), wanted).await.expect("a browser session");
        driver.set_script_timeout(Duration::from_secs(60)).await.expect("time for scripts");
        driver
    });
    let outcome = run(&Page::new(driver.clone(), None), test);
    RUNTIME.block_on(driver.quit()).ok();
    if let Err(panic) = outcome {
        resume_unwind(panic);
    }
}

/// What came of a test, with its screen and console kept where it failed.
fn run(page: &Page, test: impl AsyncFnOnce(&Page)) -> thread::Result<()> {
    let outcome = catch_unwind(AssertUnwindSafe(|| RUNTIME.block_on(test(page))));
    if outcome.is_err() {
        RUNTIME.block_on(page.keep_evidence());
    }
    outcome
}

impl Page {
    fn new(driver: WebDriver, context: Option<Context>) -> Self {
        let (address, requests) = serve_site(&setting("GATEFROST_SITE"));
        let folder = Arc::new(Folder::new());
        Self { driver, address, requests, console: Arc::default(), folder, context }
    }

    /// Opens another tab of the same browser and goes to it.
    pub async fn open_tab(&self) {
        let tab = match &self.context {
            Some(context) => context.open_tab().expect("another tab"),
            None => self.driver.new_tab().await.expect("another tab"),
        };
        self.driver.switch_to_window(tab).await.expect("the other tab");
    }

    /// The page in one file, opened from a folder by the same browser. Its name is one that a person or a
    /// browser's download may have given it.
    pub fn single(&self) -> Self {
        let page = setting("GATEFROST_SITE").with_file_name("gatefrost.html");
        let copy = self.folder().join("Gate frost #1 (100%).html");
        fs::copy(&page, &copy).unwrap_or_else(|e| panic!("{}: {e}", page.display()));
        let path = copy.to_string_lossy().replace('%', "%25").replace('#', "%23").replace(' ', "%20");
        Self { address: format!("file://{path}"), ..self.clone() }
    }

    /// Another address for the same browser.
    pub fn at(&self, address: &str) -> Self {
        Self { address: address.to_owned(), ..self.clone() }
    }

    /// The WebDriver session, for what has no helper here.
    pub fn driver(&self) -> &WebDriver {
        &self.driver
    }

    /// The address of the site, with its last slash.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Goes to the page with `rest` (a query, a fragment, a file) after its address. Changing only
    /// the fragment does not load the page again.
    pub async fn goto(&self, rest: &str) {
        let address = format!("{}{rest}", self.address);
        let before = self.driver.current_url().await.expect("an address");
        let mut there = before.join(&address).expect("an address");
        there.set_fragment(before.fragment());
        if there != before {
            // What is asked at once may in Firefox still meet the old page, which was ready.
            self.js("document.documentElement.dataset.ready = 'left'").await;
        }
        self.driver.goto(address.as_str()).await.expect("the page");
    }

    /// Goes to the page and waits until its first window has been drawn.
    pub async fn open(&self, rest: &str) {
        self.goto(rest).await;
        self.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
    }

    /// Reloads as a person does, and waits until the page has no work under way. The driver's own way goes
    /// past a service worker in Firefox.
    pub async fn reload(&self) {
        self.js("document.documentElement.dataset.ready = 'left'; location.reload()").await;
        self.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
        self.idle().await;
    }

    /// Waits until the page has no work under way and has shown what came of it.
    pub async fn idle(&self) {
        self.wait_until("document.documentElement.dataset.busy === 'false'", READY).await;
        self.frames().await;
    }

    /// Waits for two frames: what waited for the next one has been drawn.
    pub async fn frames(&self) {
        self.js("return new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
            .await;
    }

    /// Waits until a JavaScript expression holds, and fails when it does not within `limit`.
    pub async fn wait_until(&self, expression: &str, limit: Duration) {
        let start = Instant::now();
        let script = format!("return Boolean({expression})");
        loop {
            // A page that is on its way out may not answer; the next one will.
            let answer = self.driver.execute(&script, Vec::<Value>::new()).await;
            let said = match answer {
                Ok(value) if *value.json() == Value::Bool(true) => return,
                Ok(_) => String::new(),
                Err(error) => format!("; {error}"),
            };
            let waited = start.elapsed();
            assert!(waited < limit, "after {waited:.1?} still not: {expression}{said}");
            sleep(Duration::from_millis(25)).await;
        }
    }

    /// The value that a script returns.
    pub async fn js(&self, script: &str) -> Value {
        self.js_with(script, &[]).await
    }

    /// The value that a script returns, given `arguments`.
    pub async fn js_with(&self, script: &str, arguments: &[Value]) -> Value {
        match self.driver.execute(script, arguments).await {
            Ok(result) => result.json().clone(),
            Err(error) => panic!("{error}\nin the script: {script}"),
        }
    }

    /// The text of the element that a selector finds, as it is seen.
    pub async fn text(&self, selector: &str) -> String {
        self.find(selector).await.text().await.expect("its text")
    }

    /// The element that a selector finds.
    pub async fn find(&self, selector: &str) -> WebElement {
        match self.driver.find(By::Css(selector)).await {
            Ok(element) => element,
            Err(error) => panic!("{selector}: {error}"),
        }
    }

    /// Types a value into a field in place of what is there, and leaves the field.
    pub async fn fill(&self, selector: &str, value: &str) {
        let field = self.find(selector).await;
        let all = Key::Control + "a";
        for keys in [all, Key::Backspace.into(), value.into(), Key::Tab.into()] {
            field.send_keys(keys).await.expect("typing");
        }
    }

    /// Drags the mouse between two points of the viewport, CSS pixels, in `steps` moves.
    pub async fn drag(&self, from: (f64, f64), to: (f64, f64), steps: u32) {
        let pause = Some(Duration::from_millis(16));
        let mut chain = self
            .driver
            .action_chain_with_delay(None, pause)
            .move_to(from.0.round() as i64, from.1.round() as i64)
            .click_and_hold();
        for step in 1..=steps {
            let part = f64::from(step) / f64::from(steps);
            let at = |a: f64, b: f64| (a + (b - a) * part).round() as i64;
            chain = chain.move_to(at(from.0, to.0), at(from.1, to.1));
        }
        chain.release().perform().await.expect("dragging");
    }

    /// Gives the page a viewport of this size, CSS pixels, at `scale` device pixels to each. Unlike a
    /// window it may be as narrow as a phone.
    pub async fn resize(&self, width: u32, height: u32, scale: f64) {
        let cdp = self.driver.cdp();
        cdp.emulation().set_device_metrics_override(width, height, scale, false).await.expect("a viewport");
    }

    /// A folder that goes with the test.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Lets the browser save files in a folder, and says in which. Only in Chromium.
    pub async fn allow_downloads(&self) -> PathBuf {
        let folder = self.folder().join("downloads");
        let context = &self.context.as_ref().expect("a context").id;
        let wanted = json!({ "behavior": "allow", "downloadPath": folder, "browserContextId": context });
        self.driver.cdp().send_raw("Browser.setDownloadBehavior", wanted).await.expect("downloads");
        folder
    }

    /// Writes what is seen as PNG.
    pub async fn screenshot(&self, path: &Path) {
        self.driver.screenshot(path).await.expect("a screenshot");
    }

    /// Begins to record what the browser's threads do.
    #[allow(dead_code, reason = "only a benchmark looks at it")]
    pub fn record(&self) -> Recording {
        let context = self.context.as_ref().expect("a context");
        context.record().expect("a recording")
    }

    /// All that the console has said so far, the browser's own complaints included.
    pub async fn console(&self) -> Vec<BrowserLogEntry> {
        let fresh = self.driver.browser_log().await.expect("the console");
        let mut console = lock(&self.console);
        console.extend(fresh);
        console.clone()
    }

    /// Fails when the console holds an error. Blocked by the policy, not found on the server and
    /// uncaught in a script all count.
    pub async fn assert_clean_console(&self) {
        let console = self.console().await;
        let errors: Vec<_> = console.iter().filter(|e| e.level == "SEVERE").collect();
        assert!(errors.is_empty(), "errors in the console: {errors:#?}");
    }

    /// Puts what the console has said out of mind: it was provoked.
    pub async fn forget_console(&self) {
        self.driver.browser_log().await.expect("the console");
        lock(&self.console).clear();
    }

    /// Every request that has reached the server.
    pub fn requests(&self) -> Vec<Request> {
        lock(&self.requests).clone()
    }

    /// Leaves the screen and the console of a failed test in `failures/` beside the site.
    async fn keep_evidence(&self) {
        let folder = setting("GATEFROST_SITE").with_file_name("failures");
        let name = thread::current().name().unwrap_or("test").replace("::", "-");
        let kept = async {
            fs::create_dir_all(&folder)?;
            self.driver.screenshot(&folder.join(format!("{name}.png"))).await?;
            let console = self.driver.browser_log().await?;
            fs::write(folder.join(format!("{name}.txt")), format!("{console:#?}\n"))?;
            WebDriverResult::Ok(())
        };
        match kept.await {
            Ok(()) => eprintln!("screen and console of {name} are in {}", folder.display()),
            Err(error) => eprintln!("screen and console of {name} could not be kept: {error}"),
        }
    }
}

/// Serves a site on a free port for as long as the tests run.
pub fn serve_site(site: &Path) -> (String, Requests) {
    assert!(site.join("index.html").is_file(), "there is no page in {}", site.display());
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a free port");
    let address = listener.local_addr().expect("its address");
    let requests = Requests::default();
    let seen = Arc::clone(&requests);
    let site = site.to_owned();
    thread::spawn(move || {
        http::serve(&listener, &site, move |target, response| {
            lock(&seen).push(Request {
                target: target.to_owned(),
                status: response.status,
                at: Instant::now(),
            });
        })
    });
    (format!("http://{address}/"), requests)
}

fn lock<T>(list: &Mutex<T>) -> MutexGuard<'_, T> {
    list.lock().unwrap_or_else(PoisonError::into_inner)
}
