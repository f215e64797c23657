//! Commands to Chromium itself, by its DevTools protocol: JSON texts over a WebSocket (RFC 6455). The driver passes
//! on only commands that concern one tab.

use std::fs;
use std::io::{self, BufRead, BufReader, Error, Read, Write};
use std::net::TcpStream;
use std::path::Path;

use serde_json::{Value, json};

/// Where a browser takes commands.
#[derive(Clone)]
pub struct DevTools {
    port: u16,
    path: String,
}

impl DevTools {
    /// That of the browser with this profile, where it has written the port and the path, a line each.
    pub fn of_profile(profile: &Path) -> io::Result<Self> {
        let text = fs::read_to_string(profile.join("DevToolsActivePort"))?;
        let lines =
            text.split_once('\n').and_then(|(port, path)| Some((port.parse().ok()?, path.trim_end())));
        let (port, path) = lines.ok_or_else(|| Error::other(format!("no port and path in: {text}")))?;
        Ok(Self { port, path: path.to_owned() })
    }

    /// What the browser answers to one command, which has a connection of its own.
    pub fn command(&self, method: &str, params: &Value) -> io::Result<Value> {
        let mut socket = self.connect()?;
        let command = json!({ "id": 1, "method": method, "params": params }).to_string();
        // One masked text, as every client must send it. A mask of zeros leaves it as it is.
        let length = u16::try_from(command.len()).map_err(Error::other)?;
        let mut frame = vec![0x81, 0x80 | 126];
        frame.extend(length.to_be_bytes());
        frame.extend([0; 4]);
        frame.extend(command.as_bytes());
        socket.get_mut().write_all(&frame)?;
        loop {
            let answer: Value = serde_json::from_slice(&text(&mut socket)?)?;
            if answer["id"] == 1 {
                return match answer.get("result") {
                    Some(result) => Ok(result.clone()),
                    None => Err(Error::other(format!("{method}: {answer}"))),
                };
            }
        }
    }

    fn connect(&self) -> io::Result<BufReader<TcpStream>> {
        let mut socket = BufReader::new(TcpStream::connect(("127.0.0.1", self.port))?);
        let Self { port, path } = self;
        write!(
            socket.get_mut(),
            "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\
             Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: Z2F0ZWZyb3N0IHRlc3RzIQ==\r\n\r\n"
        )?;
        let mut line = String::new();
        socket.read_line(&mut line)?;
        if !line.starts_with("HTTP/1.1 101") {
            return Err(Error::other(format!("the browser takes no commands: {line}")));
        }
        while line != "\r\n" {
            line.clear();
            if socket.read_line(&mut line)? == 0 {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
        }
        Ok(socket)
    }
}

/// What one frame holds; a server sends it without a mask.
fn text(socket: &mut impl Read) -> io::Result<Vec<u8>> {
    let [_, length] = bytes(socket)?;
    let length = match length {
        126 => u16::from_be_bytes(bytes(socket)?).into(),
        127 => u64::from_be_bytes(bytes(socket)?),
        short => short.into(),
    };
    let mut text = Vec::new();
    socket.take(length).read_to_end(&mut text)?;
    Ok(text)
}

fn bytes<const N: usize>(socket: &mut impl Read) -> io::Result<[u8; N]> {
    let mut bytes = [0; N];
    socket.read_exact(&mut bytes)?;
    Ok(bytes)
}
