//! Chromium browsers, each lent to one test after another.
//!
//! To start and end a browser takes as much of the processor as many a test. So a browser that a test has left in
//! order goes to the next one. The tests do not meet in it: each has a browser context of its own, as a private
//! window has, with its own storage, caches, service workers and permissions. What a test emulates dies with its
//! tab. A browser in which a test has failed is closed. When no test is under way, all are closed, so that none
//! outlives the program.

use std::io;
use std::mem;
use std::sync::{LazyLock, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use serde_json::{Value, json};
use thirtyfour::prelude::*;
use thirtyfour::{LoggingPrefsLogLevel, WindowHandle};
use tokio::runtime::{self, Runtime};

use crate::devtools::{DevTools, Recording};
use crate::driver::{Driver, setting};

/// Chromium needs no sandbox to open our own page, and cannot have one as root; the rest keeps it from talking to
/// anything but the site, and from what no test looks at: extensions took a tenth of a test's processor time, the
/// pages behind the address bar a fifth, a renderer in reserve a twentieth.
const FLAGS: &[&str] = &[
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--disable-component-extensions-with-background-pages",
    "--disable-default-apps",
    "--disable-features=WebUIOmniboxPopup,WebUIOmniboxAimPopup,SpareRendererForSitePerProcess",
    "--window-size=1440,1000",
];

/// How long a script of a test may run.
const SCRIPTS: Duration = Duration::from_secs(60);

/// Where the tests run. One for all, because the connection to a driver belongs to the one that it was made in.
pub static RUNTIME: LazyLock<Runtime> = LazyLock::new(|| {
    runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build().expect("a runtime")
});

struct Shelf {
    /// How many tests have a browser or wait for one.
    borrowers: usize,
    idle: Vec<Chromium>,
}

static SHELF: Mutex<Shelf> = Mutex::new(Shelf { borrowers: 0, idle: Vec::new() });

fn shelf() -> MutexGuard<'static, Shelf> {
    SHELF.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A browser that a test has. It is closed when this is dropped, unless it was given back.
pub struct Loan {
    lent: Option<(Chromium, Context)>,
}

impl Loan {
    /// An idle browser, or one that is started, with an empty tab for the test.
    pub fn new() -> Self {
        // It counts from now on, also where no browser can be started.
        let mut loan = Self { lent: None };
        let idle = {
            let mut shelf = shelf();
            shelf.borrowers += 1;
            shelf.idle.pop()
        };
        // One that has died while it was idle is closed.
        let usable = idle.and_then(|browser| Some((browser.tab().ok()?, browser)));
        let (context, browser) = usable.unwrap_or_else(|| {
            let browser = Chromium::start();
            (browser.tab().expect("a tab in a browser that has just started"), browser)
        });
        loan.lent = Some((browser, context));
        loan
    }

    /// The session, at the test's tab, and what the test's tabs share.
    pub fn page(&self) -> (WebDriver, Context) {
        let (browser, context) = self.lent.as_ref().expect("there is a browser until it is given back");
        (browser.driver.clone(), context.clone())
    }

    /// Takes away all that the test has left, and keeps the browser for the next.
    pub fn give_back(mut self) {
        if let Some((browser, context)) = self.lent.take()
            && browser.clear(&context).is_ok()
        {
            shelf().idle.push(browser);
        }
    }
}

impl Drop for Loan {
    fn drop(&mut self) {
        drop(self.lent.take());
        let mut shelf = shelf();
        shelf.borrowers -= 1;
        let closed = if shelf.borrowers == 0 { mem::take(&mut shelf.idle) } else { Vec::new() };
        drop(shelf);
        drop(closed);
    }
}

/// A browser context, in which a test has its tabs.
#[derive(Clone)]
pub struct Context {
    devtools: DevTools,
    /// Its name in the browser's protocol.
    pub id: Value,
}

impl Context {
    fn new(devtools: &DevTools) -> io::Result<Self> {
        let made = devtools.command("Target.createBrowserContext", &json!({}))?;
        Ok(Self { devtools: devtools.clone(), id: made["browserContextId"].clone() })
    }

    /// Opens a tab. The driver's own way would open it outside of the context.
    pub fn open_tab(&self) -> io::Result<WindowHandle> {
        let wanted = json!({ "url": "about:blank", "browserContextId": self.id });
        let tab = self.devtools.command("Target.createTarget", &wanted)?;
        Ok(tab["targetId"].as_str().unwrap_or_default().into())
    }

    /// Begins to record what the browser's threads do.
    #[allow(dead_code, reason = "only a benchmark looks at it")]
    pub fn record(&self) -> io::Result<Recording> {
        self.devtools.record()
    }

    /// Ends it with all its tabs.
    fn end(&self) -> io::Result<()> {
        let gone = json!({ "browserContextId": self.id });
        self.devtools.command("Target.disposeBrowserContext", &gone).map(drop)
    }
}

/// A browser with its driver.
struct Chromium {
    driver: WebDriver,
    devtools: DevTools,
    // Dropped after the session has been closed.
    _process: Driver,
}

impl Chromium {
    fn start() -> Self {
        let process = Driver::start(&setting("GATEFROST_CHROMEDRIVER"));
        let mut wanted = DesiredCapabilities::chrome();
        let chromium = setting("GATEFROST_CHROMIUM");
        let profile = process.profile();
        (|| {
            wanted.set_binary(&chromium.to_string_lossy())?;
            for flag in FLAGS {
                wanted.add_arg(flag)?;
            }
            wanted.add_arg(&format!("--user-data-dir={}", profile.display()))?;
            wanted.set_browser_log_level(LoggingPrefsLogLevel::All)
        })()
        .expect("what the browser is asked for");
        let driver = RUNTIME.block_on(WebDriver::new(process.address(), wanted)).expect("a browser session");
        // Its own first tab, which no test sees, keeps it open; the page of a new tab would work in it.
        RUNTIME.block_on(driver.goto("about:blank")).expect("an empty tab");
        let devtools = DevTools::of_profile(profile).expect("where the browser takes commands");
        Self { driver, devtools, _process: process }
    }

    /// Makes a context with a tab, and goes to it.
    fn tab(&self) -> WebDriverResult<Context> {
        let context = Context::new(&self.devtools)?;
        let tab = context.open_tab()?;
        RUNTIME.block_on(async {
            self.driver.switch_to_window(tab).await?;
            self.driver.set_script_timeout(SCRIPTS).await?;
            // What an earlier test has left in the driver's list.
            self.driver.browser_log().await
        })?;
        Ok(context)
    }

    /// Ends a context with its tabs. Keys and buttons that are held down belong to the session.
    fn clear(&self, context: &Context) -> WebDriverResult<()> {
        RUNTIME.block_on(self.driver.action_chain().reset_actions())?;
        Ok(context.end()?)
    }
}

impl Drop for Chromium {
    fn drop(&mut self) {
        RUNTIME.block_on(self.driver.clone().quit()).ok();
    }
}
