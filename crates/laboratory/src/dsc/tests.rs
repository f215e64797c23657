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
