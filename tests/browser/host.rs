//! A host with the site in a folder below it: it can be cut off, and another version can be put on it.

use std::fs;
use std::io::{Read, Write, copy};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Map, Value};
use sha2::{Digest, Sha256};

use crate::harness::{serve_site, setting};

/// A web host for one test.
pub struct Host {
    folder: PathBuf,
    address: SocketAddr,
    up: Arc<AtomicBool>,
}

impl Host {
    /// A host that keeps its files in a folder of the test and has the site in one further down.
    pub fn start(place: &Path) -> Self {
        let root = place.join("host");
        let folder = root.join("some/folder");
        fs::remove_dir_all(&root).ok();
        put(&files_of(&setting("GATEFROST_SITE")), &folder);
        fs::write(root.join("index.html"), "<title>Another page of the host</title>").unwrap();
        let (inner, _) = serve_site(&root);
        let inner: SocketAddr = inner["http://".len()..].trim_end_matches('/').parse().unwrap();
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let address = listener.local_addr().unwrap();
        let up = Arc::new(AtomicBool::new(true));
        let reachable = Arc::clone(&up);
        thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                // A connection that is dropped is a network that is away.
                if reachable.load(Ordering::SeqCst) {
                    thread::spawn(move || pass_on(stream, inner));
                }
            }
        });
        Self { folder, address, up }
    }

    /// The address of the site on the host.
    pub fn address(&self) -> String {
        format!("http://{}/some/folder/", self.address)
    }

    /// Connects or cuts off.
    pub fn reach(&self, up: bool) {
        self.up.store(up, Ordering::SeqCst);
    }

    /// Replaces the site by one whose heading is another; returns the name of its version. A `broken`
    /// one was changed on its way to the host.
    pub fn deploy(&self, heading: &str, version: &str, broken: bool) {
        let mut site = another_version(files_of(&self.folder), heading, version);
        if broken {
            let name = format!("{version}/js/shared/dom.js");
            site.iter_mut().find(|(n, _)| *n == name).unwrap().1.extend(b"\n// changed on the way\n");
        }
        fs::remove_dir_all(&self.folder).unwrap();
        put(&site, &self.folder);
    }
}

type Files = Vec<(String, Vec<u8>)>;

fn pass_on(mut from: TcpStream, to: SocketAddr) {
    let Ok(mut inner) = TcpStream::connect(to) else { return };
    let mut request = Vec::new();
    let mut piece = [0; 4096];
    while !request.ends_with(b"\r\n\r\n") {
        match from.read(&mut piece) {
            Ok(count) if count > 0 => request.extend(&piece[..count]),
            _ => return,
        }
    }
    if inner.write_all(&request).is_ok() {
        copy(&mut inner, &mut from).ok();
    }
    from.shutdown(Shutdown::Both).ok();
}

/// The same site as another build would make it: another heading, its parts in another folder, and the
/// hashes to match.
fn another_version(site: Files, heading: &str, version: &str) -> Files {
    // The folder of the version is named by 16 digits.
    let digits = |folder: &&str| folder.len() == 16 && folder.bytes().all(|digit| digit.is_ascii_hexdigit());
    let of_version = |(name, _): &(String, Vec<u8>)| name.split('/').next().filter(digits).map(str::to_owned);
    let old = site.iter().find_map(of_version).unwrap();
    let mut made: Files = Vec::new();
    let mut worker = String::new();
    for (name, bytes) in site {
        if name.ends_with(".html") {
            let before = String::from_utf8(bytes).unwrap();
            let (start, rest) = before.split_once("<h1>").unwrap();
            let html = format!("{start}<h1>{heading}{}", &rest[rest.find("</h1>").unwrap()..]);
            let html = html.replace(&old, version);
            let html = html.replace(&hash(import_map(&before)), &hash(import_map(&html)));
            made.push((name, html.into_bytes()));
        } else if name == "offline.js" {
            worker = String::from_utf8(bytes).unwrap();
        } else {
            made.push((name.replace(&old, version), bytes));
        }
    }
    let files: Map<String, Value> =
        made.iter().map(|(name, bytes)| (name.clone(), hash(bytes).into())).collect();
    let body = worker.splitn(3, '\n').last().unwrap();
    let worker = format!("const VERSION = \"{version}\";\nconst FILES = {};\n{body}", Value::from(files));
    made.push(("offline.js".to_owned(), worker.into_bytes()));
    made
}

fn import_map(html: &str) -> &str {
    let (_, rest) = html.split_once("<script type=\"importmap\">").unwrap();
    rest.split_once("</script>").unwrap().0
}

fn hash(text: impl AsRef<[u8]>) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text.as_ref())))
}

fn files_of(folder: &Path) -> Files {
    let mut files = Files::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        if path.is_dir() {
            files
                .extend(files_of(&path).into_iter().map(|(inner, bytes)| (format!("{name}/{inner}"), bytes)));
        } else {
            files.push((name, fs::read(path).unwrap()));
        }
    }
    files
}

fn put(files: &Files, folder: &Path) {
    for (name, bytes) in files {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
}
