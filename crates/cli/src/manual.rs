//! Completion for shells and manual pages, both from the grammar of the command line.

use crate::args::grammar;
use crate::failure::Failure;
use crate::output::print_bytes;
use clap_complete::Shell;
use clap_mangen::Man;
use std::fs;
use std::path::Path;

/// Prints what a shell needs to complete commands and options.
pub(crate) fn completions(shell: Shell) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut grammar(), "gatefrost", &mut script);
    print_bytes(&script)
}

/// Prints the manual page of the program in roff.
pub(crate) fn page() -> Result<(), Failure> {
    print_bytes(&rendered(grammar())?)
}

/// Writes the manual page of the program and of each command into a folder.
pub(crate) fn pages(folder: &Path) -> Result<(), Failure> {
    let failed = |error| Failure::io(&folder.display().to_string(), &error);
    fs::create_dir_all(folder).map_err(failed)?;
    let mut grammar = grammar();
    // Gives each command its full name and usage.
    grammar.build();
    let write = |name: &str, command: clap::Command| {
        let page = rendered(command)?;
        let path = folder.join(format!("{name}.1"));
        fs::write(&path, page).map_err(|error| Failure::io(&path.display().to_string(), &error))
    };
    for command in grammar.get_subcommands() {
        let name = command.get_display_name().unwrap_or_else(|| command.get_name());
        write(name, command.clone())?;
    }
    write("gatefrost", grammar)
}

fn rendered(command: clap::Command) -> Result<Vec<u8>, Failure> {
    let mut page = Vec::new();
    Man::new(command).render(&mut page).map_err(|error| Failure::io("the manual page", &error))?;
    Ok(page)
}
