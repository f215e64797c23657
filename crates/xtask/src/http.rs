//! A server for one directory of files, for this machine only. It speaks as much HTTP/1.1 as a
//! browser needs to open the page. The browser tests use this same file, so that the page is tested
//! as it is served.

use std::fs;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;
use std::time::Duration;

/// A request head longer than this is refused.
const HEAD_LIMIT: u64 = 16 * 1024;
/// A browser opens connections ahead of need; one that stays silent this long is closed.
const PATIENCE: Duration = Duration::from_secs(20);

/// What is sent back.
#[derive(Debug)]
pub struct Response {
    /// Status code and reason.
    pub status: &'static str,
    /// The media type of the body.
    pub media_type: &'static str,
    /// Where to go instead, for a folder named without its slash.
    pub location: Option<String>,
    /// The body.
    pub body: Vec<u8>,
}

/// Serves `root` until the listener fails, one thread to a connection. `seen` is told of every
/// request and of the answer it got.
pub fn serve<F>(listener: &TcpListener, root: &Path, seen: F) -> io::Result<()>
where
    F: Fn(&str, &Response) + Send + Sync + 'static,
{
    let root: Arc<Path> = root.canonicalize()?.into();
    let seen = Arc::new(seen);
    for stream in listener.incoming() {
        let (stream, root, seen) = (stream?, Arc::clone(&root), Arc::clone(&seen));
        // A connection that breaks off is the other side's business.
        thread::spawn(move || answer(&stream, &root, &*seen).ok());
    }
    Ok(())
}

fn answer(stream: &TcpStream, root: &Path, seen: &impl Fn(&str, &Response)) -> io::Result<()> {
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    let mut reader = BufReader::new(stream.take(HEAD_LIMIT));
    let mut request = String::new();
    if reader.read_line(&mut request)? == 0 {
        return Ok(());
    }
    let mut header = String::new();
    while reader.read_line(&mut header)? > 2 {
        header.clear();
    }
    let (method, target) = method_and_target(&request);
    let response = respond(root, method, target);
    seen(target, &response);
    write(stream, &response, method == "HEAD")
}

fn method_and_target(request: &str) -> (&str, &str) {
    let mut words = request.split_whitespace();
    (words.next().unwrap_or(""), words.next().unwrap_or(""))
}

/// The answer to a request for `target` below `root`, which is a canonical path.
pub fn respond(root: &Path, method: &str, target: &str) -> Response {
    if method != "GET" && method != "HEAD" {
        return plain("405 Method Not Allowed");
    }
    let path = target.split(['?', '#']).next().unwrap_or("");
    let Some(mut file) = locate(root, path) else {
        return plain("404 Not Found");
    };
    if file.is_dir() {
        if !path.ends_with('/') {
            let mut response = plain("301 Moved Permanently");
            response.location = Some(format!("{path}/"));
            return response;
        }
        file.push("index.html");
    }
    match fs::read(&file) {
        Ok(body) => Response { status: "200 OK", media_type: media_type(&file), location: None, body },
        Err(_) => plain("404 Not Found"),
    }
}

/// The file or folder that a request path names, if it lies below `root`.
fn locate(root: &Path, path: &str) -> Option<PathBuf> {
    let decoded = percent_decode(path.strip_prefix('/')?)?;
    let mut file = root.to_path_buf();
    for segment in decoded.split('/').filter(|s| !s.is_empty()) {
        // `..` and hidden files start with a dot; the others mean something to Windows.
        if segment.starts_with('.') || segment.contains(['\\', ':', '\0']) {
            return None;
        }
        file.push(segment);
    }
    // A link inside the folder must not lead out of it either.
    let file = file.canonicalize().ok()?;
    file.starts_with(root).then_some(file)
}

fn percent_decode(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(if byte == b'%' {
            let digit = |b: Option<u8>| char::from(b?).to_digit(16);
            let (high, low) = (digit(rest.next())?, digit(rest.next())?);
            u8::try_from(high * 16 + low).ok()?
        } else {
            byte
        });
    }
    String::from_utf8(bytes).ok()
}

fn media_type(file: &Path) -> &'static str {
    match file.extension().and_then(|e| e.to_str()).unwrap_or("") {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "wasm" => "application/wasm",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/vnd.microsoft.icon",
        "zip" => "application/zip",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

fn plain(status: &'static str) -> Response {
    Response {
        status,
        media_type: "text/plain; charset=utf-8",
        location: None,
        body: format!("{status}\n").into_bytes(),
    }
}

fn write(mut stream: &TcpStream, response: &Response, head_only: bool) -> io::Result<()> {
    let mut head = format!(
        "HTTP/1.1 {}\r\nContent-Type: {}\r\nContent-Length: {}\r\nCache-Control: no-store\r\n\
         X-Content-Type-Options: nosniff\r\nConnection: close\r\n",
        response.status,
        response.media_type,
        response.body.len()
    );
    if let Some(location) = &response.location {
        head.push_str(&format!("Location: {location}\r\n"));
    }
    head.push_str("\r\n");
    stream.write_all(head.as_bytes())?;
    if !head_only {
        stream.write_all(&response.body)?;
    }
    stream.flush()
}
