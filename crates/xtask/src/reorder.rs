//! Functions that are the same, once; and those that resemble each other, side by side: a packer looks for
//! repetitions in the last 32 kB only.
//!
//! The order of functions in a wasm file means nothing. The compiler's makes what is compiled for many
//! types, and differs little or not at all, stand far apart.
//!
//! Accesses to memory lose their promise of alignment (1 kB packed).

use std::cmp::Reverse;
use std::collections::HashMap;
use std::convert::Infallible;

use anyhow::{Context, Result};
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{CodeSection, FunctionSection, Module};
use wasmparser::{
    CodeSectionReader, FunctionBody, FunctionSectionReader, MemArg, Operator, Parser, Payload, TypeRef,
};

use crate::similar::chained;

/// How many functions stand in front because they are called most: an index below 128 takes one byte, not
/// two, and what is imported comes before.
const SHORT: u32 = 128;

/// The same module with its functions in another order, each only once.
pub fn reorder(wasm: &[u8]) -> Result<Vec<u8>> {
    let mut wasm = wasm.to_vec();
    // Functions that called two of the same may be the same themselves once those are one.
    loop {
        let order = Order::of(&wasm, false).context("the wasm cannot be read")?;
        if order.old.len() == order.new.len() {
            break;
        }
        wasm = ordered(&wasm, order)?;
    }
    let order = Order::of(&wasm, true).context("the wasm cannot be read")?;
    ordered(&wasm, order)
}

fn ordered(wasm: &[u8], order: Order) -> Result<Vec<u8>> {
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
    /// The place of each function, or of its like.
    new: Vec<u32>,
}

impl Order {
    /// Leaves out what is there twice; where `chain` is set, what resembles each other stands together.
    fn of(wasm: &[u8], chain: bool) -> wasmparser::Result<Self> {
        let mut imported = 0;
        let mut types = Vec::new();
        let mut bodies: Vec<&[u8]> = Vec::new();
        let mut calls: Vec<usize> = Vec::new();
        for payload in Parser::new(0).parse_all(wasm) {
            match payload? {
                Payload::ImportSection(section) => {
                    for import in section.into_imports() {
                        imported += u32::from(matches!(import?.ty, TypeRef::Func(_)));
                    }
                }
                Payload::FunctionSection(section) => {
                    types = section.into_iter().collect::<wasmparser::Result<Vec<u32>>>()?;
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
        let mut first = HashMap::new();
        let like: Vec<usize> =
            (0..bodies.len()).map(|i| *first.entry((types[i], bodies[i])).or_insert(i)).collect();
        let mut old: Vec<usize> = (0..bodies.len()).filter(|&i| like[i] == i).collect();
        if chain {
            old.sort_by_key(|&i| Reverse(called[i]));
            let rest = old.split_off(old.len().min(SHORT.saturating_sub(imported) as usize));
            let texts: Vec<&[u8]> = rest.iter().map(|&i| bodies[i]).collect();
            old.extend(chained(&texts).into_iter().map(|place| rest[place]));
        }
        let mut place = vec![0; bodies.len()];
        for (new, &i) in (0..).zip(&old) {
            place[i] = new;
        }
        let new = like.iter().map(|&i| place[i]).collect();
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

    /// An access without its promise of alignment, which no engine of a browser makes use of.
    fn mem_arg(&mut self, access: MemArg) -> Result<wasm_encoder::MemArg, Error<Infallible>> {
        let memory_index = self.memory_index(access.memory)?;
        Ok(wasm_encoder::MemArg { offset: access.offset, align: 0, memory_index })
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
    fn what_is_the_same_is_there_once() {
        // A pair that is the same, a pair that calls one of the first each, and one that differs in type.
        let mut types = TypeSection::new();
        types.ty().function([], [ValType::I32]);
        types.ty().function([], [ValType::F32]);
        let (mut functions, mut exports, mut code) =
            (FunctionSection::new(), ExportSection::new(), CodeSection::new());
        for (i, kind) in [0, 0, 0, 0, 1].into_iter().enumerate() {
            functions.function(kind);
            exports.export(&format!("f{i}"), ExportKind::Func, i as u32);
            let mut body = Function::new([]);
            match i {
                0 | 1 => body.instructions().i32_const(7).end(),
                2 | 3 => body.instructions().call(i as u32 - 2).end(),
                _ => body.instructions().unreachable().end(),
            };
            code.function(&body);
        }
        let mut module = Module::new();
        module.section(&types).section(&functions).section(&exports).section(&code);
        let after = reorder(&module.finish()).unwrap();
        let mut targets = HashMap::new();
        let mut count = 0;
        for payload in Parser::new(0).parse_all(&after) {
            match payload.unwrap() {
                Payload::ExportSection(section) => {
                    let exports = section.into_iter().map(|e| e.unwrap());
                    targets.extend(exports.map(|e| (e.name.to_owned(), e.index)));
                }
                Payload::CodeSectionEntry(_) => count += 1,
                _ => {}
            }
        }
        assert_eq!(count, 3);
        assert_eq!((targets["f0"], targets["f2"]), (targets["f1"], targets["f3"]));
        assert!(targets["f0"] != targets["f2"] && targets["f4"] != targets["f2"]);
    }

    #[test]
    fn the_same_module_comes_out_each_time() {
        assert_eq!(reorder(&module()).unwrap(), reorder(&module()).unwrap());
        assert!(reorder(b"no wasm at all").is_err());
    }
}
