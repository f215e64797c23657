//! Commands to Chromium itself, by its DevTools protocol: JSON texts over a WebSocket. The driver passes on only
//! commands that concern one tab.

use std::fs;
use std::io::{self, Error};
use std::net::TcpStream;
use std::path::Path;

use serde_json::{Value, json};
use tungstenite::WebSocket;
use tungstenite::stream::MaybeTlsStream;

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
        self.connect()?.command(method, params)
    }

    /// Begins to record what the browser's threads do: every task, and which thread draws a page.
    #[allow(dead_code, reason = "only a benchmark looks at it")]
    pub fn record(&self) -> io::Result<Recording> {
        let mut connection = self.connect()?;
        let wanted =
            json!({ "transferMode": "ReportEvents", "traceConfig": { "includedCategories": RECORDED } });
        connection.command("Tracing.start", &wanted)?;
        Ok(Recording { connection })
    }

    fn connect(&self) -> io::Result<Connection> {
        let address = format!("ws://127.0.0.1:{}{}", self.port, self.path);
        let (socket, _) = tungstenite::connect(address).map_err(Error::other)?;
        Ok(Connection { socket })
    }
}

/// What is recorded: every task of every thread, and the frames.
const RECORDED: [&str; 2] = ["devtools.timeline", "disabled-by-default-devtools.timeline"];

/// A recording under way. The browser gives it to the connection that began it.
pub struct Recording {
    connection: Connection,
}

impl Recording {
    /// Ends it. Returns the events as the browser records them, times in µs.
    #[allow(dead_code, reason = "only a benchmark looks at it")]
    pub fn end(mut self) -> io::Result<Vec<Value>> {
        self.connection.command("Tracing.end", &json!({}))?;
        let mut events = Vec::new();
        loop {
            let mut said = self.connection.read()?;
            if let Value::Array(some) = said["params"]["value"].take() {
                events.extend(some);
            }
            if said["method"] == "Tracing.tracingComplete" {
                return Ok(events);
            }
        }
    }
}

/// An open connection.
struct Connection {
    socket: WebSocket<MaybeTlsStream<TcpStream>>,
}

impl Connection {
    fn command(&mut self, method: &str, params: &Value) -> io::Result<Value> {
        let command = json!({ "id": 1, "method": method, "params": params }).to_string();
        self.socket.send(command.into()).map_err(Error::other)?;
        loop {
            let answer = self.read()?;
            if answer["id"] == 1 {
                return match answer.get("result") {
                    Some(result) => Ok(result.clone()),
                    None => Err(Error::other(format!("{method}: {answer}"))),
                };
            }
        }
    }

    fn read(&mut self) -> io::Result<Value> {
        let said = self.socket.read().map_err(Error::other)?;
        Ok(serde_json::from_slice(&said.into_data())?)
    }
}
