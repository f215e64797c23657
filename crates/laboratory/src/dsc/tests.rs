use super::*;
use gatefrost_core::scenario::demo;

/// Normal peaks of known heat \[J/g\], middle and width \[°C\] over a sloping line, one reading each half kelvin.
fn made(peaks: &[[f64; 3]], [from, to]: [f64; 2], header: &str, scale: f64) -> String {
    let mut text = format!("temperature [°C];{header}\n");
    let steps = ((to - from).abs() * 2.0) as i32;
    for i in 0..=steps {
        let t = from + (to - from) * f64::from(i) / f64::from(steps);
        let peak = |[heat, middle, width]: &[f64; 3]| {
            heat / (width * std::f64::consts::TAU.sqrt()) * (-0.5 * ((t - middle) / width).powi(2)).exp()
        };
        let noise = 2e-4 * (37.0 * f64::from(i)).sin();
        let c = 0.9 + 1e-3 * t + noise + peaks.iter().map(peak).sum::<f64>();
        text += &format!("{t};{}\n", c * scale);
    }
    text
}

fn at(rate: f64) -> ReadOptions {
    ReadOptions { rate: Some(rate), ..ReadOptions::default() }
}

const TWO: [[f64; 3]; 2] = [[18.0, 58.0, 4.0], [7.0, 112.0, 3.0]];

#[test]
fn known_heats_and_temperatures_are_found_whichever_way_the_instrument_draws() {
    // 10 K/min: 1 J/gK is 1/6 W/g.
    for scale in [1.0 / 6.0, -1.0 / 6.0] {
        let scan =
            read(&made(&TWO, [180.0, 0.0], "heat flow [W/g]", scale), Direction::Cooling, &at(10.0)).unwrap();
        let found = analyse(&scan, 0.07).unwrap();
        assert_eq!(found.peaks.len(), 2, "{:?}", found.peaks);
        for (peak, [heat, middle, width]) in found.peaks.iter().zip(TWO) {
            assert!((peak.heat / heat - 1.0).abs() < 0.02, "{peak:?}");
            assert!((peak.heat_of_binder / (heat / 0.07) - 1.0).abs() < 0.02, "{peak:?}");
            assert!((peak.peak - middle).abs() <= 0.5, "{peak:?}");
            // The steepest tangent of a normal peak meets the baseline two widths away.
            assert!((peak.onset - middle - 2.0 * width).abs() < 0.5, "{peak:?}");
            assert!((middle - 2.0 * width - peak.end).abs() < 0.5 && !peak.overlaps, "{peak:?}");
        }
        let no_flow = found.no_flow.expect("cooled");
        assert!((no_flow.value - 118.0).abs() < 0.5 && no_flow.standard_error > 3.0);
        assert!(found.melted.is_none());
    }
}

#[test]
fn the_backbone_has_melted_at_the_end_of_the_last_peak_on_heating() {
    let text = made(&[[18.0, 63.0, 4.0], [7.0, 160.0, 4.0]], [0.0, 200.0], "heat capacity [J/(g·K)]", 1.0);
    let found = analyse(&read(&text, Direction::Heating, &ReadOptions::default()).unwrap(), 1.0).unwrap();
    assert!((found.melted.expect("heated").value - 168.0).abs() < 0.6, "{:?}", found.melted);
    assert!(found.no_flow.is_none() && found.peaks[0].onset < found.peaks[0].end);
}

#[test]
fn one_peak_and_overlapping_peaks_are_said() {
    let said = |peaks: &[[f64; 3]]| {
        let text = made(peaks, [150.0, 0.0], "heat flow [mW/mg]", 1.0 / 6.0);
        analyse(&read(&text, Direction::Cooling, &at(10.0)).unwrap(), 1.0).unwrap()
    };
    let one = said(&TWO[..1]);
    assert!(one.peaks.len() == 1 && one.remarks.iter().any(|r| r.contains("one peak only")), "{one:?}");
    let close = said(&[[18.0, 58.0, 5.0], [10.0, 75.0, 4.0]]);
    assert_eq!(close.peaks.len(), 2, "{close:?}");
    assert!(close.peaks.iter().all(|p| p.overlaps) && close.remarks.iter().any(|r| r.contains("overlap")));
    let whole: f64 = close.peaks.iter().map(|p| p.heat).sum();
    assert!((whole / 28.0 - 1.0).abs() < 0.02, "{whole}");
}

/// 80 and 40 J/g at 50 and 64 °C, 5 K wide, have two maxima with a shallow valley; nearer or smaller, the second is a
/// shoulder. Neither is one peak, and a wider range would show no more.
#[test]
fn peaks_that_overlap_are_named_as_such() {
    let found = |peaks: &[[f64; 3]]| {
        let text = made(peaks, [150.0, 0.0], "heat capacity [J/gK]", 1.0);
        analyse(&read(&text, Direction::Cooling, &ReadOptions::default()).unwrap(), 1.0).unwrap()
    };
    let two = found(&[[80.0, 50.0, 5.0], [40.0, 64.0, 5.0]]);
    assert!(two.peaks.len() == 2 && two.peaks.iter().all(|peak| peak.overlaps), "{two:?}");
    assert!((two.peaks[0].peak - 50.0).abs() < 1.5 && (two.peaks[1].peak - 64.0).abs() < 1.5, "{two:?}");
    assert!(two.remarks.iter().any(|r| r.contains("Peaks overlap")), "{two:?}");
    for (peaks, near) in [
        ([[80.0, 50.0, 5.0], [30.0, 62.0, 5.0]], 59.0),
        ([[80.0, 60.0, 5.0], [30.0, 48.0, 5.0]], 51.0),
        ([[80.0, 50.0, 4.0], [15.0, 60.0, 4.0]], 58.0),
    ] {
        let one = found(&peaks);
        let said = one.remarks.join(" ");
        assert!(one.peaks.len() == 1 && one.peaks[0].overlaps, "{one:?}");
        assert!(said.contains("has a shoulder at") && !said.contains("one peak only"), "{said}");
        let at = said.split("shoulder at ").nth(1).and_then(|rest| rest.split(' ').next()).unwrap();
        assert!((at.parse::<f64>().unwrap() - near).abs() < 4.0, "{at} for {near}");
    }
    // A peak alone has none, nor have two that stand apart.
    for alone in [&[[80.0, 50.0, 5.0]][..], &[[18.0, 58.0, 4.0], [7.0, 112.0, 3.0]][..]] {
        let none = found(alone);
        assert!(!none.remarks.join(" ").contains("shoulder"), "{none:?}");
        assert!(none.peaks.iter().all(|peak| !peak.overlaps), "{none:?}");
    }
}

/// 6 J/g of a backbone at 108 °C beside 150 J/g of wax decide where the melt stops to flow.
#[test]
fn a_small_peak_of_a_backbone_is_not_lost() {
    for width in [2.5, 5.0, 8.0] {
        let text =
            made(&[[150.0, 58.0, 4.0], [6.0, 108.0, width]], [180.0, 0.0], "heat capacity [J/gK]", 1.0);
        let scan = read(&text, Direction::Cooling, &ReadOptions::default()).unwrap();
        let found = analyse(&scan, 1.0).unwrap();
        assert_eq!(found.peaks.len(), 2, "{found:?}");
        assert!((found.peaks[1].heat / 6.0 - 1.0).abs() < 0.05, "{found:?}");
        let no_flow = found.no_flow.expect("cooled").value;
        assert!((no_flow - 108.0 - 2.0 * width).abs() < 1.0, "{no_flow}");
    }
}

/// A baseline that bends by a hundredth of the peak, and scatter, are no peaks.
#[test]
fn a_bent_baseline_and_scatter_are_no_peaks() {
    let mut random = 7_u64;
    let mut scatter = || {
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (random >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    };
    for noise in [0.0, 0.02] {
        let mut text = "temperature [°C];heat capacity [J/gK]\n".to_owned();
        for i in 0..=360 {
            let t = 180.0 - 0.5 * f64::from(i);
            let peak =
                150.0 / (4.0 * std::f64::consts::TAU.sqrt()) * (-0.5 * ((t - 40.0) / 4.0).powi(2)).exp();
            let bend = 0.12 * (std::f64::consts::PI * t / 180.0).sin();
            text += &format!("{t};{}\n", 1.0 + bend + peak + noise * scatter());
        }
        let found = analyse(&read(&text, Direction::Cooling, &ReadOptions::default()).unwrap(), 1.0).unwrap();
        assert_eq!(found.peaks.len(), 1, "{:?}", found.peaks);
    }
}

/// A table of binder that is read as one of feedstock, and a wrong rate on one side.
#[test]
fn heats_that_cannot_be_are_said() {
    let scan = |direction, from_to, scale, share| {
        let text = made(&[[120.0, 58.0, 4.0], [40.0, 112.0, 3.0]], from_to, "heat capacity [J/gK]", scale);
        analyse(&read(&text, direction, &ReadOptions::default()).unwrap(), share).unwrap()
    };
    let cold = |scale, share| scan(Direction::Cooling, [180.0, 0.0], scale, share);
    let hot = scan(Direction::Heating, [0.0, 180.0], 1.0, 1.0);
    let said = |found: &DscResult| found.remarks.iter().any(|r| r.contains("for each kilogram of binder"));
    assert!(!said(&cold(1.0, 1.0)) && said(&cold(1.0, 0.07)));
    assert_eq!(compared(&hot, &cold(1.0, 1.0)), [] as [String; 0]);
    let apart = compared(&hot, &cold(1.0 / 14.0, 1.0)).join(" ");
    assert!(apart.contains("Melting takes 160 kJ") && apart.contains("gives 11.4 back"), "{apart}");
}

#[test]
fn what_is_wrong_with_a_table_is_said() {
    let text = made(&TWO, [0.0, 180.0], "heat flow [W/g]", 1.0);
    let refused = |direction, rate| {
        let options = ReadOptions { rate, ..ReadOptions::default() };
        read(&text, direction, &options).unwrap_err().to_string()
    };
    assert!(refused(Direction::Heating, None).contains("needs the rate"));
    assert!(refused(Direction::Heating, Some(-3.0)).contains("accepted is a number above 0 K/min"));
    let falls = refused(Direction::Cooling, Some(10.0));
    assert!(
        falls.contains("line 3") && falls.contains("must fall") && falls.contains("one on heating"),
        "{falls}"
    );
    let cooled = made(&TWO, [180.0, 0.0], "heat flow [W/g]", 1.0);
    let rises = read(&cooled, Direction::Heating, &at(10.0)).unwrap_err().to_string();
    assert!(rises.contains("must rise"), "{rises}");
    let flat = read(
        &made(&[], [0.0, 180.0], "heat capacity [J/gK]", 1.0),
        Direction::Heating,
        &ReadOptions::default(),
    )
    .unwrap();
    assert!(analyse(&flat, 1.0).unwrap_err().contains("no peak"));
}

/// 8 mg at 20 K/min: 1 J/gK is 8/3 mW.
#[test]
fn a_heat_flow_of_the_whole_sample_needs_its_mass() {
    let text = made(&TWO, [180.0, 0.0], "heat flow [mW]", 8.0 / 3.0);
    let bare = text.replace(" [mW]", "");
    let with = |text: &str, mass, unit| {
        read(text, Direction::Cooling, &ReadOptions { rate: Some(20.0), mass, unit })
            .map_err(|e| e.to_string())
    };
    for scan in [with(&text, Some(8.0), None), with(&bare, Some(8.0), Some(HeatFlowUnit::Milliwatts))] {
        let found = analyse(&scan.unwrap(), 1.0).unwrap();
        assert!((found.peaks[0].heat / 18.0 - 1.0).abs() < 0.02, "{:?}", found.peaks);
    }
    assert!(with(&text, None, None).unwrap_err().contains("needs the mass"));
    assert!(with(&text, Some(0.0), None).unwrap_err().contains("above 0 mg"));
    assert!(with(&bare, Some(8.0), None).unwrap_err().contains("unit is missing"));
    let other = with(&text, Some(8.0), Some(HeatFlowUnit::WattsPerGram)).unwrap_err();
    assert!(other.contains("The header says mW"), "{other}");
}

/// An instrument draws melting and crystallisation to opposite sides.
#[test]
fn a_sign_or_a_direction_that_does_not_fit_is_said() {
    let scan = |from_to, direction, scale| {
        let text = made(&TWO, from_to, "heat flow [W/g]", scale);
        analyse(&read(&text, direction, &at(10.0)).unwrap(), 1.0).unwrap()
    };
    let hot = scan([0.0, 180.0], Direction::Heating, 1.0);
    let cold = |scale| scan([180.0, 0.0], Direction::Cooling, scale);
    assert_eq!((hot.endothermic_up, cold(-1.0).endothermic_up), (Some(true), Some(true)));
    assert_eq!(compared(&hot, &cold(-1.0)), [] as [String; 0]);
    assert!(compared(&hot, &cold(1.0))[0].contains("same way"));
    let mixed = made(&[TWO[0], [-7.0, 112.0, 3.0]], [180.0, 0.0], "heat flow [W/g]", 1.0);
    let found = analyse(&read(&mixed, Direction::Cooling, &at(10.0)).unwrap(), 1.0).unwrap();
    assert!(
        found.peaks.len() == 1 && found.remarks.iter().any(|r| r.contains("the other way, at 112")),
        "{found:?}"
    );
}

#[test]
fn scans_change_the_feedstock_and_leave_it_valid() {
    let cooled = read(
        &made(&TWO, [180.0, 0.0], "heat capacity [J/gK]", 1.0),
        Direction::Cooling,
        &ReadOptions::default(),
    )
    .unwrap();
    let heated = made(&[[18.0, 63.0, 4.0], [7.0, 152.0, 4.0]], [0.0, 200.0], "heat capacity [J/gK]", 1.0);
    let heated = read(&heated, Direction::Heating, &ReadOptions::default()).unwrap();
    let mut scenario = demo::default_demo().scenario();
    let scans = [analyse(&heated, 0.07).unwrap(), analyse(&cooled, 0.07).unwrap()];
    apply(&mut scenario.feedstock, &scans);
    assert_eq!(scenario.validate(), Ok(()));
    let f = &scenario.feedstock;
    assert!((f.latent_heat - 18.0 / 0.07).abs() < 6.0 && f.further_melting.len() == 1, "{f:?}");
    assert!((f.further_melting[0].liquidus - 118.0).abs() < 0.5);
    assert!(
        (f.no_flow_temperature - 118.0).abs() < 0.5 && (f.melted_temperature.unwrap() - 160.0).abs() < 0.6
    );
    let doubt = &f.uncertainty.as_ref().unwrap().numbers[0];
    assert!(doubt.path.ends_with("no_flow_temperature") && doubt.standard_error > 3.0);
}
