use super::*;

/// Worked by hand: a slit 20 × 2 × 50 mm, K = 1000 Pa·sⁿ, n = 0.4, 10 cm³/s.
fn slit() -> [Line; 3] {
    let n = || symbol("n", "flow exponent", unit::PURE, 0.4);
    let q = symbol("Q", "flow rate", unit::CM3_S, 10.0);
    let w = symbol("w", "width", unit::MM, 20.0);
    let h = || symbol("h", "thickness", unit::MM, 2.0);
    let wide = 6.0 * q / (w * h().squared());
    let rate =
        Line::new("γ̇_w", "shear rate at the wall", unit::PER_SECOND, (2.0 * n() + 1.0) / (3.0 * n()) * wide);
    let k = symbol("K", "consistency", unit::consistency(0.4), 1000.0);
    let stress = Line::new("τ_w", "stress at the wall", unit::KPA, k * rate.symbol().to(n()));
    let length = symbol("L", "length", unit::MM, 50.0);
    let drop = Line::new("Δp", "pressure drop", unit::MPA, 2.0 * length / h() * stress.symbol());
    [rate, stress, drop]
}

#[test]
fn a_slit_is_computed_as_by_hand() {
    let [rate, stress, drop] = slit();
    for (line, expected) in [(&rate, 1125.0), (&stress, 16.61), (&drop, 0.8307)] {
        assert!((line.value() / expected - 1.0).abs() < 3e-4, "{}: {}", line.text(), line.value());
        assert_eq!(line.check(), Ok(()));
    }
}

/// Worked by hand: a slab of 3 mm, α = 1e-6 m²/s, 160 into 40 °C down to 60 °C, mean temperature.
#[test]
fn a_slab_cools_as_by_hand() {
    let celsius = |letter: &'static str, value| symbol(letter, "temperature", unit::CELSIUS, value);
    let [melt, wall, end] = [("T_m", 160.0), ("T_w", 40.0), ("T_e", 60.0)].map(|(l, v)| celsius(l, v));
    let h = symbol("h", "thickness", unit::MM, 3.0);
    let alpha = symbol("α", "diffusivity", unit::MM2_S, 1.0);
    let ratio = (melt - wall.clone()) / (end - wall);
    let time = h.squared() / (pi().squared() * alpha) * (8.0 / pi().squared() * ratio).ln();
    let line = Line::new("t", "cooling time", unit::SECOND, time);
    assert!((line.value() - 1.4424).abs() < 1e-4, "{}", line.value());
    assert_eq!(line.check(), Ok(()));
    assert_eq!(line.text(), "t = h²/(π²·α)·ln(8/π²·(T_m − T_w)/(T_e − T_w))");
    assert_eq!(
        line.text_with_numbers(&Plain),
        "t = (3 mm)²/(π²·1 mm²/s)·ln(8/π²·(160 °C − 40 °C)/(60 °C − 40 °C)) = 1.442 s"
    );
}

#[test]
fn letters_are_set_with_index_dot_and_star() {
    let [rate, stress, _] = slit();
    assert!(
        rate.mathml().starts_with("<math display=\"block\"><msub><mover accent=\"true\"><mi>γ</mi><mo>˙</mo></mover><mi>w</mi></msub><mo>=</mo>"),
        "{}",
        rate.mathml()
    );
    let set = "<math display=\"block\"><msub><mi>τ</mi><mi>w</mi></msub><mo>=</mo><mrow><mi>K</mi><mo>\u{2062}</mo>\
               <msup><msub><mover accent=\"true\"><mi>γ</mi><mo>˙</mo></mover><mi>w</mi></msub><mi>n</mi></msup></mrow></math>";
    assert_eq!(stress.mathml(), set);
    let of = |letter: &'static str| match symbol(letter, "", unit::PURE, 1.0) {
        Expr::Symbol(s) => s.mathml(),
        _ => String::new(),
    };
    assert_eq!(of("τ*"), "<msup><mi>τ</mi><mo>*</mo></msup>");
    assert_eq!(of("Δp_1"), "<msub><mrow><mi>Δ</mi><mi>p</mi></mrow><mn>1</mn></msub>");
    assert_eq!(of("a<b"), "<mi>a&lt;b</mi>");
}

#[test]
fn numbers_that_are_put_in_keep_their_units_and_get_brackets() {
    let [_, _, drop] = slit();
    let set = drop.mathml_with_numbers(&Plain);
    assert!(
        set.contains(
            "<mfrac><mrow><mn>2</mn><mo>·</mo><mrow><mn>50</mn><mtext>\u{a0}mm</mtext></mrow></mrow>"
        ),
        "{set}"
    );
    assert!(set.ends_with("<mtext>\u{a0}MPa</mtext></mrow></math>"), "{set}");
    assert!(!set.contains("style"));
    let cold = || symbol("T", "temperature", unit::PURE, -5.0);
    let text = |expr: Expr| expr.text_with_numbers(&Plain);
    assert_eq!(text(3.0 - cold()), "3 − (-5)");
    assert_eq!(text(3.0 * cold()), "3·(-5)");
    assert_eq!(text(cold().squared()), "(-5)²");
    assert_eq!(text(-(number(1.0) + 2.0)), "−(1 + 2)");
    assert_eq!(text(number(2.0).to(number(1.0) / 3.0)), "2^(1/3)");
    assert_eq!(text(number(1.0) - (number(2.0) - 3.0)), "1 − (2 − 3)");
    assert_eq!(text(number(8.0) / (number(4.0) / 2.0)), "8/(4/2)");
    assert_eq!(text(greater(number(8.0), least(number(4.0), number(2.0)))), "max(8, min(4, 2))");
}

/// Every element of the markup is closed in its order: a page takes it as it stands.
#[test]
fn markup_is_well_formed() {
    let a = || symbol("A_1", "a", unit::PURE, 2.5e11);
    let everything = (greater(a(), 2.0 * a()).ln() - (-a()).exp()).sqrt() / least(a(), pi()).to(-0.5 * a());
    let lines = [Line::new("x", "x", unit::PURE, everything)];
    for line in lines.iter().chain(&slit()) {
        for set in [line.mathml(), line.mathml_with_numbers(&Plain)] {
            let mut open: Vec<&str> = Vec::new();
            for tag in set.split('<').skip(1).filter_map(|rest| rest.split('>').next()) {
                match tag.strip_prefix('/') {
                    Some(name) => assert_eq!(open.pop(), Some(name), "{set}"),
                    None => open.push(tag.split(' ').next().unwrap_or_default()),
                }
            }
            assert!(open.is_empty(), "{set}");
        }
    }
}

#[test]
fn wrong_units_are_found() {
    let h = symbol("h", "thickness", unit::MM, 2.0);
    let t = symbol("t", "time", unit::SECOND, 2.0);
    assert!((h.clone() + t.clone()).dimension().is_err_and(|e| e.contains("h and t")));
    assert!(h.clone().ln().dimension().is_err());
    assert!(number(2.0).to(h.clone()).dimension().is_err());
    assert!(Line::new("v", "speed", unit::MPA, h / t).check().is_err_and(|e| e.contains("MPa")));
}

/// Factors from the definitions of the units; temperatures shift by 273.15 K.
#[test]
fn units_lead_to_si_and_back() {
    for (unit, value, si) in
        [(unit::CELSIUS, 60.0, 333.15), (unit::L_MIN, 6.0, 1e-4), (unit::KJ_KG, 2.0, 2e3)]
    {
        assert!((unit.to_si(value) / si - 1.0).abs() < 1e-12, "{}", unit.sign);
        assert!((unit.of_si(si) / value - 1.0).abs() < 1e-12, "{}", unit.sign);
    }
    for (k, unit) in unit::ALL.iter().enumerate() {
        assert_eq!(unit::named(unit.sign).map(|u| u.sign), Some(unit.sign));
        assert!(unit::ALL[..k].iter().all(|other| other.sign != unit.sign), "{}", unit.sign);
    }
}

#[test]
fn each_symbol_is_listed_once_in_its_order() {
    let [rate, ..] = slit();
    let letters: Vec<&str> = rate.formula.symbols().iter().map(|s| &*s.letter).collect();
    assert_eq!(letters, ["n", "Q", "w", "h"]);
}
