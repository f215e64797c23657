//! The results that can be opened, and their groups on the page.

mod after;
mod basics;
mod cooling;
mod debinding;
mod filling;
mod hold;
mod sintering;
mod sizes;

use crate::Entry;

/// Every result, group by group in the order of the work.
pub fn all() -> impl Iterator<Item = &'static Entry> {
    let of_report = [basics::ENTRIES, filling::ENTRIES, hold::ENTRIES, cooling::ENTRIES, after::ENTRIES];
    let of_plan = [sizes::ENTRIES, debinding::ENTRIES, sintering::ENTRIES];
    of_report.into_iter().chain(of_plan).flatten()
}

/// The result at a path, and its row: `hold.gates.0.freeze_s`.
pub fn at(path: &str) -> Option<(&'static Entry, usize)> {
    if let Some(entry) = all().find(|entry| entry.key == path) {
        return Some((entry, 0));
    }
    all().filter(|entry| entry.rows.is_some()).find_map(|entry| {
        let (before, after) = entry.key.split_once('*')?;
        let row = path.strip_prefix(before)?.strip_suffix(after)?.parse().ok()?;
        Some((entry, row))
    })
}

/// The one path among some that a text means: the path itself, its last part with or without its unit, the title, or any
/// part of path or title. Blanks and capital letters do not count.
///
/// # Errors
/// The paths that the text may mean, if there is not exactly one.
pub fn named<'a>(text: &str, paths: &'a [String]) -> Result<&'a str, Vec<&'a str>> {
    let plain = |text: &str| text.to_lowercase().replace([' ', '-'], "_");
    let wanted = plain(text.trim());
    let title = |path: &str| at(path).map_or_else(String::new, |(entry, _)| plain(entry.title));
    let last = |path: &str| plain(path.rsplit('.').next().unwrap_or_default());
    let without_unit =
        |path: &str| last(path).rsplit_once('_').map_or_else(String::new, |(name, _)| name.to_owned());
    let matches: [&dyn Fn(&str) -> bool; 4] = [
        &|path| plain(path) == wanted,
        &|path| last(path) == wanted || without_unit(path) == wanted,
        &|path| title(path) == wanted,
        &|path| plain(path).contains(&wanted) || title(path).contains(&wanted),
    ];
    let mut several = Vec::new();
    for is_meant in matches {
        let found: Vec<&str> = paths.iter().map(String::as_str).filter(|path| is_meant(path)).collect();
        match found[..] {
            [one] => return Ok(one),
            [] => {}
            _ if several.is_empty() => several = found,
            _ => {}
        }
    }
    Err(several)
}

/// Groups of the page with the paths of their results, in their order.
pub const PAGE: &[(&str, &[&str])] = &[
    (
        "headline",
        &[
            "fill.nozzle_pressure_mpa",
            "fill.fill_time_s",
            "fill.filled_percent",
            "fill.opening_force_kn",
            "hold.gate_freeze_s",
            "cool.cooling_time_s",
            "hold.part_mass_g",
            "cool.cycle_s",
        ],
    ),
    (
        "feedstock",
        &[
            "feedstock.viscosity_at_1000_pa_s",
            "feedstock.powder_mass_percent",
            "feedstock.density_kg_m3",
            "feedstock.diffusivity_mm2_s",
            "feedstock.particle_size_90_um",
        ],
    ),
    (
        "cavity",
        &["cavity.volume_cm3", "cavity.projected_area_cm2", "cavity.flow_length_mm", "cavity.thickest_mm"],
    ),
    (
        "setup",
        &[
            "fill.rate_cm3_s",
            "fill.gate_pressure_mpa",
            "fill.front_temperature_min_c",
            "fill.melt_temperature_max_c",
            "hold.ends.0.sealed_pressure_mpa",
            "hold.shrinkage_percent",
        ],
    ),
    (
        "hold",
        &[
            "hold.held_s",
            "hold.shrinkage_spread_percent.0",
            "hold.shrinkage_spread_percent.1",
            "hold.shrinkage_when_opened_percent",
            "hold.void_percent",
            "hold.residual_pressure_mpa",
            "hold.opening_force_kn",
            "cool.runner_time_s",
            "cool.plasticising_s",
            "cool.heat_w",
        ],
    ),
    (
        "after",
        &[
            "after.oversize_factor",
            "after.moulding_shrinkage_percent",
            "after.sintering_shrinkage_percent",
            "after.oversize_by_loading_alone",
        ],
    ),
];
