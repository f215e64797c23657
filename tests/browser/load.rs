//! Opening the page.

use std::time::{Duration, Instant};

use tokio::time::sleep;

use crate::harness::browse;

#[test]
#[ignore = "run by cargo xtask test"]
fn page_loads() {
    browse(async |page| {
        page.open("").await;
        let title = page.driver().title().await.unwrap();
        assert!(title.contains("Gatefrost"), "the title is {title:?}");
        page.assert_clean_console().await;
        for request in page.requests() {
            assert_eq!(request.status, "200 OK", "{}", request.target);
        }
    });
}

/// Invariant: the page makes no request after it has loaded.
#[test]
#[ignore = "run by cargo xtask test"]
fn no_request_after_load() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        assert!(page.requests().len() > 1, "the server has seen the page load");
        let loaded = Instant::now();
        // A new size draws every figure anew; the wait is for anything put off.
        page.resize(390, 844, 2.0).await;
        sleep(Duration::from_secs(1)).await;
        page.idle().await;
        let later: Vec<_> = page.requests().into_iter().filter(|r| r.at > loaded).collect();
        assert!(later.is_empty(), "asked for after the load: {later:?}");
    });
}
