//! The refinement study behind the default resolution: end-of-fill pressure, hottest melt and
//! coldest front against cells and layers, for every demo at three rates.
//!
//! `cargo run --release -p gatefrost-core --example refinement`
#![allow(clippy::print_stdout)]

use gatefrost_core::case::Case;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::fill::{self, Drive};
use gatefrost_core::scenario::{Model, demo};
use std::time::Instant;

fn main() {
    for d in demo::DEMOS {
        let s = d.scenario();
        for factor in [0.25, 1.0, 4.0] {
            println!("\n{} at {} s", d.name, s.setup.injection_time * factor);
            println!("cells layers  p MPa    hottest  front    enthalpy   ms");
            let others = [
                (24, 20),
                (96, 20),
                (192, 20),
                (384, 20),
                (600, 20),
                (58, 12),
                (58, 40),
                (600, 12),
                (600, 40),
            ];
            // The demo's own grid stands first.
            let own = [(s.model.axial_cells, s.model.layers)];
            for (cells, layers) in own.into_iter().chain(others) {
                let model = Model { axial_cells: cells, layers, ..s.model.clone() };
                let mut finer = s.clone();
                finer.model = model;
                let Case { material, cavity, drive, .. } = Case::resolve(&finer);
                let rate = cavity.volume / (s.setup.injection_time * factor);
                let drive = Drive { rate, max_pressure: 1e9, switch_over: 1.0, hold_pressure: 0.0, ..drive };
                let start = Instant::now();
                let fill = fill::unlimited(&material, &cavity, drive);
                let ms = start.elapsed().as_secs_f64() * 1e3;
                let b = fill.end.balance;
                let closure = (b.inflow + b.dissipated - b.lost - fill.end.stored()) / b.inflow;
                println!(
                    "{cells:5} {layers:5} {:9.3} {:8.2} {:8.2} {closure:10.1e} {ms:8.2}",
                    fill.peak / 1e6,
                    fill.end.hottest - ZERO_CELSIUS,
                    fill.coldest_front - ZERO_CELSIUS,
                );
            }
        }
    }
}
