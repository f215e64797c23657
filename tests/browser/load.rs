//! Opening the page.

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
