//! Tests of [`crate::http`].

use std::fs;
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::PathBuf;
use std::sync::mpsc;
use std::thread;

use crate::http::{respond, serve};

/// A folder `site` to be served, beside a file that must not be.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let base = std::env::temp_dir().join(format!("gatefrost-{name}-{}", std::process::id()));
        let site = base.join("site");
        fs::create_dir_all(site.join("js")).unwrap();
        fs::write(base.join("secret.txt"), "secret").unwrap();
        fs::write(site.join(".hidden"), "secret").unwrap();
        fs::write(site.join("index.html"), "<p>page").unwrap();
        fs::write(site.join("js/a b.js"), "export {}").unwrap();
        fs::write(site.join("core.wasm"), b"\0asm").unwrap();
        Self(base.canonicalize().unwrap())
    }

    fn site(&self) -> PathBuf {
        self.0.join("site")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        fs::remove_dir_all(&self.0).ok();
    }
}

#[test]
fn files_come_with_their_media_types() {
    let folder = Folder::new("types");
    for (target, media_type, body) in [
        ("/", "text/html; charset=utf-8", &b"<p>page"[..]),
        ("/index.html?x=../..", "text/html; charset=utf-8", b"<p>page"),
        ("/js/a%20b.js", "text/javascript; charset=utf-8", b"export {}"),
        ("/core.wasm", "application/wasm", b"\0asm"),
    ] {
        let response = respond(&folder.site(), "GET", target);
        assert_eq!(response.status, "200 OK", "{target}");
        assert_eq!(response.media_type, media_type, "{target}");
        assert_eq!(response.body, body, "{target}");
    }
}

#[test]
fn nothing_outside_the_folder_is_served() {
    let folder = Folder::new("outside");
    for target in [
        "/../secret.txt",
        "/js/../../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "/%2e%2e%5csecret.txt",
        "/js/..%5c..%5csecret.txt",
        "//../secret.txt",
        "/.hidden",
        "/index.html%00.txt",
        "/%",
        "/%zz",
        "/%ff",
        "secret.txt",
        "",
        "/absent",
        "/js/",
    ] {
        let response = respond(&folder.site(), "GET", target);
        assert_eq!(response.status, "404 Not Found", "{target}");
        assert!(!response.body.windows(6).any(|w| w == b"secret"), "{target}");
    }
    assert_eq!(respond(&folder.site(), "POST", "/").status, "405 Method Not Allowed");
}

#[cfg(unix)]
#[test]
fn a_link_does_not_lead_out_of_the_folder() {
    let folder = Folder::new("link");
    std::os::unix::fs::symlink("../secret.txt", folder.site().join("way-out.txt")).unwrap();
    let response = respond(&folder.site(), "GET", "/way-out.txt");
    assert_eq!(response.status, "404 Not Found");
}

#[test]
fn a_folder_without_its_slash_is_redirected() {
    let folder = Folder::new("slash");
    let response = respond(&folder.site(), "GET", "/js");
    assert_eq!(response.status, "301 Moved Permanently");
    assert_eq!(response.location.as_deref(), Some("/js/"));
}

#[test]
fn over_the_wire_nothing_is_kept_and_every_request_is_seen() {
    let folder = Folder::new("wire");
    let listener = TcpListener::bind(("127.0.0.1", 0)).unwrap();
    let address = listener.local_addr().unwrap();
    let (told, seen) = mpsc::channel();
    let site = folder.site();
    thread::spawn(move || {
        serve(&listener, &site, move |target, response| {
            told.send(format!("{target} {}", response.status)).unwrap();
        })
    });
    let ask = |request: &str| {
        let mut stream = TcpStream::connect(address).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut text = String::new();
        stream.read_to_string(&mut text).unwrap();
        text
    };

    let page = ask("GET /index.html HTTP/1.1\r\nHost: x\r\n\r\n");
    assert!(page.starts_with("HTTP/1.1 200 OK\r\n"));
    assert!(page.contains("\r\nCache-Control: no-store\r\n"));
    assert!(page.ends_with("\r\n\r\n<p>page"));
    let head = ask("HEAD / HTTP/1.1\r\nHost: x\r\n\r\n");
    assert!(head.contains("Content-Length: 7\r\n") && head.ends_with("\r\n\r\n"));
    assert!(ask("nonsense\r\n\r\n").starts_with("HTTP/1.1 405"));

    let seen: Vec<String> = seen.try_iter().collect();
    assert_eq!(seen, ["/index.html 200 OK", "/ 200 OK", " 405 Method Not Allowed"]);
}
