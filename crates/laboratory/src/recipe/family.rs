//! The family that a binder belongs to, by its parts.

use super::blend::Blend;
use super::library::{BinderPart, PartRole};
use gatefrost_core::scenario::{Family, Feedstock};

/// The family of a blend, by the shares of its parts by mass: mostly polyacetal; with three tenths or more of polyethylene
/// glycol; without a backbone and mostly of wax; with three tenths or more of wax beside a polyolefin. `None` for any
/// other, which no common practice is known of here.
pub(super) fn of(blend: &Blend) -> Option<Family> {
    let share = |is: &dyn Fn(&BinderPart) -> bool| -> f64 {
        blend.parts().iter().filter(|(part, _)| is(part)).map(|(_, share)| share).sum()
    };
    let named = |keys: &[&str]| share(&|part| keys.contains(&part.key.as_str()));
    let (glycol, filler) = (named(&["peg"]), share(&|part| part.role == PartRole::FillerWax));
    let (backbone, wax) = (share(&|part| part.role == PartRole::Backbone), filler - glycol);
    match () {
        () if named(&["pom"]) >= 0.5 => Some(Family::Polyacetal),
        () if glycol >= 0.3 => Some(Family::WaterSoluble),
        () if backbone == 0.0 && wax >= 0.5 => Some(Family::WaxLowPressure),
        () if named(&["pp", "hdpe", "ldpe", "eva"]) > 0.0 && wax >= 0.3 => Some(Family::WaxPolyolefin),
        () => None,
    }
}

/// Gives a feedstock its family, and of the family's usual numbers those that a recipe says nothing of: how long the
/// binder bears the barrel.
pub(super) fn put(family: Option<Family>, feedstock: &mut Feedstock) {
    feedstock.family = family;
    for (path, value) in family.iter().flat_map(|family| family.usual()) {
        match path {
            "feedstock.barrel_time" => feedstock.barrel_time = value,
            "feedstock.barrel_reference" => feedstock.barrel_reference = value,
            "feedstock.barrel_energy" => feedstock.barrel_energy = value,
            _ => {}
        }
    }
}
