//! The types of what crosses a boundary, as TypeScript declarations. The check of the page's scripts reads them;
//! no page has them.

use std::any::TypeId;
use std::collections::BTreeMap;
use ts_rs::{Config, TS, TypeVisitor};

/// What stands for no type of Rust.
const APART: &str = "\
    /** What a worker computed for the page's module alone. */
    type Packed = { bytes: Uint8Array };
    /** What a worker computed for the page's scripts and for its module. */
    type Told<T> = { told: T, bytes: Uint8Array };
";

/// Declarations of types and of all that they are made of, by their names.
pub struct Declarations {
    config: Config,
    found: BTreeMap<String, (TypeId, String)>,
    /// Names that two types have.
    taken: Vec<String>,
}

impl Declarations {
    /// What every page's boundary shares.
    pub fn shared() -> Self {
        let config = Config::new().with_large_int("number").with_array_tuple_limit(8);
        let mut declarations = Self { config, found: BTreeMap::new(), taken: Vec::new() };
        declarations.visit::<crate::catalogue::Entry>();
        declarations.visit::<crate::link::Opened>();
        declarations.visit::<crate::numbers::Entered>();
        declarations.visit::<crate::units::UnitSet>();
        declarations.visit::<crate::values::ScenarioArgs>();
        declarations.visit::<crate::figures::Options>();
        declarations.visit::<gatefrost_core::units::Shown<'static>>();
        declarations.visit::<gatefrost_core::scenario::ScenarioError>();
        declarations.visit::<gatefrost_plot::Layout>();
        declarations.visit::<gatefrost_plot::DataTable>();
        declarations
    }

    /// The declarations as a file, in a namespace that needs no import.
    ///
    /// # Errors
    /// Names the types that share a name.
    pub fn text(&self) -> Result<String, String> {
        if !self.taken.is_empty() {
            return Err(format!("more than one type is called {}", self.taken.join(", ")));
        }
        let types: String =
            self.found.values().map(|(_, declaration)| format!("    {declaration}\n")).collect();
        Ok(format!("declare namespace Gatefrost {{\n{APART}{types}}}\n"))
    }
}

impl TypeVisitor for Declarations {
    fn visit<T: TS + 'static + ?Sized>(&mut self) {
        // Numbers, lists and the like have no declaration of their own.
        if T::output_path().is_none() {
            return;
        }
        let (name, id) = (T::ident(&self.config), TypeId::of::<T>());
        match self.found.get(&name) {
            Some((known, _)) if *known == id => {}
            Some(_) => self.taken.push(name),
            None => {
                self.found.insert(name, (id, T::decl(&self.config)));
                T::visit_dependencies(self);
            }
        }
    }
}
