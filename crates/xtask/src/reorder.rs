//! Functions that resemble each other, side by side: a packer looks for repetitions in the last 32 kB only.
//!
//! The order of functions in a wasm file means nothing. The compiler's makes what is compiled for many
//! types, and differs little, stand far apart.

use std::cmp::Reverse;
use std::convert::Infallible;

use anyhow::{Context, Result};
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{CodeSection, FunctionSection, Module};
use wasmparser::{
    CodeSectionReader, FunctionBody, FunctionSectionReader, Operator, Parser, Payload, TypeRef,
};

/// How many functions stand in front because they are called most: an index below 128 takes one byte, not
/// two, and what is imported comes before.
const SHORT: u32 = 128;

/// The same module with its functions in another order.
pub fn reorder(wasm: &[u8]) -> Result<Vec<u8>> {
    let order = Order::of(wasm).context("the wasm cannot be read")?;
    let mut module = Module::new();
    let mut encoder = Reordered { order };
    encoder.parse_core_module(&mut module, Parser::new(0), wasm).context("the wasm cannot be reordered")?;
    Ok(module.finish())
}

/// An order of the functions that the module defines.
struct Order {
    /// Functions that it imports; their indices come first and stay.
    imported: u32,
    /// Which of the functions stands at each place.
    old: Vec<usize>,
    /// The place of each function.
    new: Vec<u32>,
}

impl Order {
    fn of(wasm: &[u8]) -> wasmparser::Result<Self> {
        let mut imported = 0;
        let mut bodies: Vec<&[u8]> = Vec::new();
        let mut calls: Vec<usize> = Vec::new();
        for payload in Parser::new(0).parse_all(wasm) {
            match payload? {
                Payload::ImportSection(section) => {
                    for import in section.into_imports() {
                        imported += u32::from(matches!(import?.ty, TypeRef::Func(_)));
                    }
                }
                Payload::CodeSectionEntry(body) => {
                    bodies.push(body.as_bytes());
                    count_calls(&body, &mut calls)?;
                }
                _ => {}
            }
        }
        calls.resize(calls.len().max(imported as usize + bodies.len()), 0);
        let called = &calls[imported as usize..];
        let mut old: Vec<usize> = (0..bodies.len()).collect();
        old.sort_by_key(|&i| Reverse(called[i]));
        let front = old.len().min(SHORT.saturating_sub(imported) as usize);
        // Compared from their ends: beginnings differ, in locals and constants, where the rest is alike.
        old[front..].sort_by(|&a, &b| bodies[a].iter().rev().cmp(bodies[b].iter().rev()));
        let mut new = vec![0; old.len()];
        for (place, &i) in (0..).zip(&old) {
            new[i] = place;
        }
        Ok(Self { imported, old, new })
    }
}

/// Adds a body's calls to the counts, by the index of what is called.
fn count_calls(body: &FunctionBody<'_>, calls: &mut Vec<usize>) -> wasmparser::Result<()> {
    for operator in body.get_operators_reader()? {
        if let Operator::Call { function_index } = operator? {
            let index = function_index as usize;
            calls.resize(calls.len().max(index + 1), 0);
            calls[index] += 1;
        }
    }
    Ok(())
}

struct Reordered {
    order: Order,
}

impl Reencode for Reordered {
    type Error = Infallible;

    fn function_index(&mut self, index: u32) -> Result<u32, Error<Infallible>> {
        let defined = index.checked_sub(self.order.imported);
        Ok(defined.map_or(index, |i| self.order.imported + self.order.new[i as usize]))
    }

    fn parse_function_section(
        &mut self,
        functions: &mut FunctionSection,
        section: FunctionSectionReader<'_>,
    ) -> Result<(), Error<Infallible>> {
        let types = section.into_iter().collect::<wasmparser::Result<Vec<u32>>>()?;
        for &i in &self.order.old {
            functions.function(types[i]);
        }
        Ok(())
    }

    fn parse_code_section(
        &mut self,
        code: &mut CodeSection,
        section: CodeSectionReader<'_>,
    ) -> Result<(), Error<Infallible>> {
        let bodies = section.into_iter().collect::<wasmparser::Result<Vec<FunctionBody<'_>>>>()?;
        for i in self.order.old.clone() {
            self.parse_function_body(code, bodies[i].clone())?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashMap;
    use wasm_encoder::{
        EntityType, ExportKind, ExportSection, Function, ImportSection, TypeSection, ValType,
    };

    const COUNT: u32 = 300;
    /// The function that every other calls.
    const POPULAR: u32 = 290;

    /// Functions that each hold their number and call an import, the next one and the popular one.
    fn module() -> Vec<u8> {
        let mut types = TypeSection::new();
        types.ty().function([], []);
        types.ty().function([ValType::I32], []);
        let mut imports = ImportSection::new();
        imports.import("page", "said", EntityType::Function(1));
        let (mut functions, mut exports, mut code) =
            (FunctionSection::new(), ExportSection::new(), CodeSection::new());
        for i in 0..COUNT {
            functions.function(0);
            exports.export(&format!("f{i}"), ExportKind::Func, 1 + i);
            let mut body = Function::new([]);
            body.instructions().i32_const(i as i32).call(0).call(1 + (i + 1) % COUNT).call(1 + POPULAR).end();
            code.function(&body);
        }
        let mut module = Module::new();
        module.section(&types).section(&imports).section(&functions).section(&exports).section(&code);
        module.finish()
    }

    struct Body {
        number: i32,
        calls: Vec<u32>,
    }

    /// Names of the exported functions by index, and what the functions hold.
    fn read(wasm: &[u8]) -> (HashMap<u32, String>, Vec<Body>) {
        let (mut names, mut bodies) = (HashMap::new(), Vec::new());
        for payload in Parser::new(0).parse_all(wasm) {
            match payload.unwrap() {
                Payload::ExportSection(section) => {
                    names.extend(
                        section.into_iter().map(|e| e.unwrap()).map(|e| (e.index, e.name.to_owned())),
                    );
                }
                Payload::CodeSectionEntry(body) => {
                    let (mut number, mut calls) = (-1, Vec::new());
                    for operator in body.get_operators_reader().unwrap() {
                        match operator.unwrap() {
                            Operator::I32Const { value } => number = value,
                            Operator::Call { function_index } => calls.push(function_index),
                            _ => {}
                        }
                    }
                    bodies.push(Body { number, calls });
                }
                _ => {}
            }
        }
        (names, bodies)
    }

    #[test]
    fn every_function_still_calls_what_it_called() {
        let before = module();
        let after = reorder(&before).unwrap();
        assert!(after != before);
        let (names, bodies) = read(&after);
        assert_eq!(bodies.len(), COUNT as usize);
        for (index, Body { number, calls }) in (1..).zip(&bodies) {
            assert_eq!(names[&index], format!("f{number}"));
            assert_eq!(calls[0], 0, "the import stays where it was");
            assert_eq!(names[&calls[1]], format!("f{}", (number + 1) % COUNT as i32));
            assert_eq!(names[&calls[2]], format!("f{POPULAR}"));
        }
        assert_eq!(names[&1], format!("f{POPULAR}"), "what is called most comes first");
    }

    #[test]
    fn the_same_module_comes_out_each_time() {
        assert_eq!(reorder(&module()).unwrap(), reorder(&module()).unwrap());
        assert!(reorder(b"no wasm at all").is_err());
    }
}
