//! Commands to Chromium itself, by its DevTools protocol: JSON texts over a WebSocket. The driver passes on only
//! commands that concern one tab.

use std::fs;
use std::io::{self, Error};
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
        let address = format!("ws://127.0.0.1:{}{}", self.port, self.path);
        let (mut socket, _) = tungstenite::connect(address).map_err(Error::other)?;
        let command = json!({ "id": 1, "method": method, "params": params }).to_string();
        socket.send(command.into()).map_err(Error::other)?;
        loop {
            let said = socket.read().map_err(Error::other)?;
            let answer: Value = serde_json::from_slice(&said.into_data())?;
            if answer["id"] == 1 {
                return match answer.get("result") {
                    Some(result) => Ok(result.clone()),
                    None => Err(Error::other(format!("{method}: {answer}"))),
                };
            }
        }
    }
}
