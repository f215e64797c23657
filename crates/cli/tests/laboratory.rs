//! Recipes, readings and loadings through the program: what they give, and what is refused.

mod common;

use common::{demo, run, run_on, scratch};
use serde_json::{Value, json};

/// Data of a published textbook exercise: polypropylene at 190 °C, D = 2 mm, three dies, three rates.
const TEXTBOOK: &str = "\
# polypropylene
temperature [°C], die diameter [mm], die length [mm], flow rate [mm³/s], pressure [MPa]
190, 2, 5, 200, 1.502
190, 2, 5, 400, 2.100
190, 2, 5, 800, 2.935
190, 2, 10, 200, 2.337
190, 2, 10, 400, 3.266
190, 2, 10, 800, 4.565
190, 2, 20, 200, 4.006
190, 2, 20, 400, 5.599
190, 2, 20, 800, 7.826
";

fn close(found: &Value, expected: f64, relative: f64) {
    let found = found.as_f64().expect("a number");
    assert!((found / expected - 1.0).abs() < relative, "{found} for {expected}");
}

fn refused(args: &[&str], input: &[u8]) -> String {
    let run = run_on(args, input);
    assert_eq!(run.code, 1, "{args:?}: {}", run.err);
    assert!(!run.err.contains("panicked"), "{}", run.err);
    run.err
}

/// Ready-made pairs of a power law with Arrhenius dependence, K = 9 kPa·sⁿ at 160 °C, n = 0.42,
/// E = 35 kJ/mol, decimal commas.
fn pairs() -> String {
    pairs_of(|viscosity, _| viscosity)
}

/// The same with a viscosity that differs from the power law's.
fn pairs_of(other: impl Fn(f64, f64) -> f64) -> String {
    let mut text = "Temperature [°C];Shear rate [1/s];Viscosity [Pa·s]\r\n".to_owned();
    for t in [150.0, 160.0, 170.0] {
        for step in 0..9 {
            let rate = 20.0 * 2_f64.powi(step);
            let shift = (35e3_f64 / 8.314_462_618 * (1.0 / (t + 273.15) - 1.0 / 433.15)).exp();
            let viscosity = other(9e3 * shift * rate.powf(0.42 - 1.0), rate);
            text += &format!("{t};{rate};{viscosity:.4}\r\n").replace('.', ",");
        }
    }
    text
}

#[test]
fn the_textbook_exercise_reduces_to_its_solution() {
    let found = run_on(&["fit", "-", "--law", "power_law"], TEXTBOOK.as_bytes()).json();
    let points = found["reduction"]["points"].as_array().expect("points");
    assert_eq!(points.len(), 3);
    let solution = [(83.5e3, 322.8, 258.6), (116.6e3, 645.6, 180.7), (163.0e3, 1291.0, 126.3)];
    for (point, (stress, rate, viscosity)) in points.iter().zip(solution) {
        close(&point["stress"], stress, 1e-3);
        close(&point["shear_rate"], rate, 1e-3);
        close(&point["viscosity"], viscosity, 1e-3);
    }
    for end in found["reduction"]["ends"].as_array().expect("end corrections") {
        close(&end["length"], 4.0e-3, 4e-3);
    }
    let law = &found["fits"][0]["law"]["power_law"];
    close(&law["n"], 0.483, 2e-3);
    // What could not be done is said: slip takes dies of several diameters, E several temperatures.
    assert!(found["reduction"]["notes"].to_string().contains("one die diameter"));
    assert!(found["fits"][0]["remarks"].to_string().contains("One temperature only"));
}

#[test]
fn all_laws_are_ranked_and_the_true_one_comes_back() {
    let found = run_on(&["fit", "-"], pairs().as_bytes()).json();
    let bent = pairs_of(|viscosity, rate| viscosity / (1.0 + (0.002 * rate).powf(0.4)));
    let ranked = run_on(&["fit", "-"], bent.as_bytes()).json();
    let fits = ranked["fits"].as_array().expect("fits");
    assert!(fits.len() >= 2, "{} fits", fits.len());
    let criterion = |fit: &Value| fit["aicc"].as_f64().unwrap_or(f64::INFINITY);
    // A constant at the end of its range puts a law behind the others.
    let ended = |fit: &&Value| fit["constants"].to_string().contains("at_bound");
    let order: Vec<f64> = fits.iter().filter(|fit| !ended(fit)).map(criterion).collect();
    assert!(order.len() >= 2 && order.windows(2).all(|pair| pair[0] <= pair[1]), "{order:?}");
    let one = run_on(&["fit", "-", "--law=power_law"], pairs().as_bytes()).json();
    let law = &one["fits"][0]["law"]["power_law"];
    close(&law["n"], 0.42, 1e-3);
    close(&law["activation_energy"], 35.0, 1e-3);
    let shift = (law["reference_temperature"].as_f64().expect("a number") + 273.15).recip() - 1.0 / 433.15;
    let k = 9e3 * (35e3 / 8.314_462_618 * shift).exp();
    close(&law["consistency"], k, 2e-3);
    assert!(found["notes"].to_string().contains("Decimal commas"));
}

#[test]
fn a_part_beyond_the_readings_is_warned_of_and_the_law_goes_into_its_scenario() {
    let dir = scratch("fit");
    let path = |name: &str| dir.join(name).to_str().expect("UTF-8").to_owned();
    let (readings, part, out) = (path("readings.csv"), path("part.json"), path("fitted.json"));
    std::fs::write(&readings, pairs()).expect("written");
    std::fs::write(&part, demo().to_string()).expect("written");
    let call = ["fit", &readings, "--law", "power_law", "--scenario", &part, "--apply", &out];
    let ran = run(&call);
    assert!(ran.err.contains("fitted.json"), "{}", ran.err);
    let found = ran.json();
    let coverage = &found["part"];
    // The readings end at 5120 1/s; the hinge's gate is faster, its front colder than 150 °C.
    let fastest = coverage["shear_rate_1_s"][1].as_f64().expect("a number");
    assert!(fastest > 5120.0, "{fastest}");
    let warnings = coverage["warnings"].to_string();
    assert!(warnings.contains("faster than anything measured"), "{warnings}");
    assert!(coverage["loading"].as_str().expect("text").contains("60 vol%"));

    let fitted = run(&["report", &out]).json();
    assert!(fitted["feedstock"]["provenance"].as_str().expect("text").contains("readings.csv"));
    let scenario: Value = serde_json::from_slice(&std::fs::read(&out).expect("there")).expect("JSON");
    assert_eq!(scenario["feedstock"]["flow_law"], found["fits"][0]["law"]);
    assert_eq!(scenario["feedstock"]["uncertainty"], found["uncertainty"]);
    let mut others = scenario.clone();
    others["feedstock"]["uncertainty"] = demo()["feedstock"]["uncertainty"].clone();
    others["feedstock"]["flow_law"] = demo()["feedstock"]["flow_law"].clone();
    others["feedstock"]["provenance"] = demo()["feedstock"]["provenance"].clone();
    assert_eq!(others, demo(), "nothing else has changed");

    // At the loading that the readings were taken at, the law gives their viscosity; at the scenario's
    // own the loading law scales it.
    let mut measured = call.to_vec();
    measured.extend(["--loading", "57.5"]);
    let found = run(&measured).json();
    assert!(found["part"]["loading"].as_str().expect("text").contains("57.5 vol%, as given"));
    let scaled: Value = serde_json::from_slice(&std::fs::read(&out).expect("there")).expect("JSON");
    assert_eq!(scaled["feedstock"]["measured_loading"], 57.5);
    let thick = |scenario: &Value| {
        let report = run_on(&["report", "-"], scenario.to_string().as_bytes()).json();
        report["feedstock"]["viscosity_at_1000_pa_s"].as_f64().expect("a number")
    };
    assert!(thick(&scaled) > 1.05 * thick(&scenario), "a lower loading measured means more at 60 vol%");
    let beyond = run(&["fit", &readings, "--scenario", &part, "--apply", &out, "--loading", "79"]);
    assert_eq!(beyond.code, 1, "{}", beyond.err);
    assert!(beyond.err.contains("measured_loading") && beyond.err.contains("79"), "{}", beyond.err);
    let outside = run(&["fit", &readings, "--scenario", &part, "--loading", "81"]);
    assert_eq!(outside.code, 2);
    assert!(outside.err.contains("--loading") && outside.err.contains("0 to 80 vol%"), "{}", outside.err);

    // No input is overwritten.
    for input in [&readings, &part] {
        assert_eq!(run(&["fit", &readings, "--scenario", &part, "--apply", input]).code, 2);
    }
    assert_eq!(std::fs::read_to_string(&readings).expect("there"), pairs());
}

/// Readings of a plain power law do not tell a plateau: what the Cross law would need for one is no number to
/// mould by, so the law is not offered and no scenario is written.
#[test]
fn a_law_that_the_readings_do_not_tell_is_not_applied() {
    let dir = scratch("untold");
    let path = |name: &str| dir.join(name).to_str().expect("UTF-8").to_owned();
    let (readings, part, out) = (path("readings.csv"), path("part.json"), path("fitted.json"));
    std::fs::write(&readings, pairs()).expect("written");
    std::fs::write(&part, demo().to_string()).expect("written");
    let ran = run(&["fit", &readings, "--law", "cross_wlf", "--scenario", &part, "--apply", &out]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    for part in
        ["Cross–WLF: The readings show no plateau", "power law", "fitted.json: no scenario was written"]
    {
        assert!(ran.err.contains(part), "{part:?} is not in {}", ran.err);
    }
    assert!(!std::path::Path::new(&out).exists());
    // A dependence on temperature that is turned round leaves no law to offer; one named by hand is applied.
    let turned = pairs().replace("\n150;", "\nx;").replace("\n170;", "\n150;").replace("\nx;", "\n170;");
    std::fs::write(&readings, turned).expect("written");
    let ran = run(&["fit", &readings, "--scenario", &part, "--apply", &out]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("No law is offered as the best") && ran.err.contains("--law"), "{}", ran.err);
    assert!(!std::path::Path::new(&out).exists());
    assert_eq!(run(&["fit", &readings, "--law", "power_law", "--scenario", &part, "--apply", &out]).code, 0);
    assert_eq!(run(&["report", &out]).code, 0);

    // Readings that thicken leave none at all, by name or not.
    std::fs::remove_file(&out).expect("there");
    std::fs::write(&readings, pairs_of(|_, rate| 40.0 * rate.powf(0.3))).expect("written");
    for law in [&[][..], &["--law", "power_law"]] {
        let ran = run(&[&["fit", &readings, "--scenario", &part, "--apply", &out], law].concat());
        assert_eq!(ran.code, 1, "{}", ran.err);
        assert!(ran.err.contains("The readings thicken"), "{}", ran.err);
        assert!(!std::path::Path::new(&out).exists());
    }
}

#[test]
fn what_is_held_is_held_where_it_was_asked_to_be() {
    let bent = pairs_of(|viscosity, rate| viscosity / (1.0 + (0.002 * rate).powf(0.4)));
    let held = run_on(&["fit", "-", "--d2", "80", "--transition", "2"], bent.as_bytes()).json();
    let law = |name: &str| {
        let fits = held["fits"].as_array().expect("fits");
        fits.iter().find_map(|fit| fit["law"].get(name)).expect("the law was fitted").clone()
    };
    assert_eq!(law("cross_wlf")["d2"], 80.0);
    close(&law("carreau_yasuda")["transition"], 2.0, 1e-12);
}

#[test]
fn the_uncertainty_of_recipe_and_fit_comes_along() {
    let estimate = run_on(&["recipe", "-"], example().to_string().as_bytes()).json();
    let numbers = estimate["feedstock"]["uncertainty"]["numbers"].as_array().expect("numbers");
    let of = |path: &str| numbers.iter().find(|n| n["path"] == path).expect("there");
    assert_eq!(of("feedstock.flow_law.cross_wlf.d1")["logarithmic"], true);
    let mut parameters = estimate["parameters"].as_array().expect("parameters").iter();
    let density = parameters.find(|p| p["quantity"] == "feedstock.powder_density").expect("there");
    // To two digits, as a link carries it.
    let [told, full] =
        [of("feedstock.powder_density"), density].map(|p| p["standard_error"].as_f64().expect("a number"));
    assert!((told / full - 1.0).abs() < 0.05, "{told} {full}");

    let found = run_on(&["fit", "-", "--law", "power_law"], pairs().as_bytes()).json();
    let doubt = &found["uncertainty"];
    assert_eq!(doubt["numbers"].as_array().expect("numbers").len(), 3);
    close(&doubt["correlation"][1][1], 1.0, 1e-9);
    let n = &found["fits"][0]["constants"].as_array().expect("constants")[1];
    assert_eq!(n["path"], doubt["numbers"][1]["path"]);
    close(&doubt["numbers"][1]["standard_error"], n["standard_error"].as_f64().expect("a number"), 1e-9);
}

#[test]
fn bad_readings_are_named_by_line_and_column() {
    let said = refused(&["fit", "-"], TEXTBOOK.replace("4.565", "high").as_bytes());
    assert_eq!(said.lines().count(), 1, "{said}");
    for part in ["standard input", "line 8", "pressure [MPa]", "high"] {
        assert!(said.contains(part), "{part:?} is not in {said:?}");
    }
    let two = TEXTBOOK.replace("1.502", "-1.502").replace("190, 2, 20, 800", "190, 2, 20, 0");
    let said = refused(&["fit", "-"], two.as_bytes());
    assert_eq!(said.lines().count(), 2, "{said}");
    assert!(said.contains("line 3") && said.contains("line 11"), "{said}");
    let said = refused(&["fit", "-"], TEXTBOOK.replace("die length [mm], ", "").as_bytes());
    assert!(said.contains("line 2") && said.contains("die length"), "{said}");
    let said = refused(&["fit", "-"], TEXTBOOK.replace("[MPa]", "[mm]").as_bytes());
    assert!(said.contains("pressure [mm]") && said.contains("MPa"), "{said}");
    let said = refused(&["critical", "-"], b"loading [vol%],density [g/cm3]\n55,4.7\n120,5.1\n");
    assert!(said.contains("line 3") && said.contains("loading") && said.contains("95 vol%"), "{said}");
    // A great many problems do not fill the screen.
    let many = format!("temperature [°C],shear rate [1/s],viscosity [Pa s]\n{}", "a,b,c\n".repeat(50_000));
    assert!(refused(&["fit", "-"], many.as_bytes()).lines().count() <= 21);
}

#[test]
fn readings_too_few_to_fit_are_reduced_all_the_same() {
    let one = "temperature [°C],shear rate [1/s],viscosity [Pa·s]\n160,100,500\n";
    let ran = run_on(&["fit", "-"], one.as_bytes());
    assert_eq!(ran.code, 1);
    assert_eq!(ran.err.lines().count(), 4, "one line for each law: {}", ran.err);
    let printed: Value = serde_json::from_str(&ran.out).expect("JSON");
    close(&printed["reduction"]["points"][0]["stress"], 50e3, 1e-9);
}

#[test]
fn junk_is_refused() {
    let binary: Vec<u8> = (0..=255).cycle().take(100_000).collect();
    let cells = ",".repeat(1_000_000);
    let rows = format!("temperature [°C],shear rate [1/s],viscosity [Pa·s]\n{}", "1,1,1\n".repeat(200_000));
    for args in [&["fit", "-"], &["critical", "-"], &["recipe", "-"]] {
        for junk in
            [b"" as &[u8], b"\n\n", b"{}", b"PK\x03\x04\x00", &binary, cells.as_bytes(), rows.as_bytes()]
        {
            let said = refused(args, junk);
            assert!(said.len() < 20_000, "{} bytes of complaint", said.len());
        }
        assert!(refused(args, &vec![b' '; 33_000_000]).contains("standard input"));
        if cfg!(unix) {
            assert!(refused(&[args[0], "/dev/zero"], b"").contains("/dev/zero"));
        }
        assert!(refused(&[args[0], "no-such-file"], b"").contains("no-such-file"));
    }
    assert!(refused(&["fit", "-"], &vec![b' '; 16_100_000]).contains("at most 16 MB"));
}

#[test]
fn a_spreadsheet_s_encodings_are_read() {
    let expected = run_on(&["fit", "-"], pairs().as_bytes()).json();
    let wide: Vec<u8> =
        "\u{feff}".encode_utf16().chain(pairs().encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let latin: Vec<u8> = pairs().chars().map(|c| u8::try_from(u32::from(c)).expect("in Latin-1")).collect();
    for bytes in [format!("\u{feff}{}", pairs()).into_bytes(), wide, latin] {
        let found = run_on(&["fit", "-"], &bytes).json();
        assert_eq!(found["fits"], expected["fits"]);
    }
}

fn example() -> Value {
    run(&["recipe", "--example", "steel"]).json()
}

#[test]
fn a_batch_that_cannot_be_mixed_is_named_and_the_estimate_printed() {
    let mut recipe = example();
    recipe["batch"] =
        json!({ "amount": { "mass_kg": 1 }, "regrind": { "mass_fraction": 0.9, "loading": 20 } });
    let ran = run_on(&["recipe", "-"], recipe.to_string().as_bytes());
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("batch.regrind.mass_fraction") && ran.err.lines().count() == 1, "{}", ran.err);
    let printed: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert!(printed["feedstock"]["flow_law"].is_object() && printed["batch"].is_null());
}

#[test]
fn a_batch_closes() {
    let mut recipe = example();
    recipe["batch"] = json!({ "amount": { "mass_kg": 12.5 }, "regrind": { "mass_fraction": 0.3 } });
    let estimate = run_on(&["recipe", "-"], recipe.to_string().as_bytes()).json();
    let batch = &estimate["batch"];
    let get = |name: &str| batch[name].as_f64().expect("a number");
    let parts = batch["parts"].as_array().expect("parts").iter();
    let binder: f64 = parts.map(|p| p["mass_kg"].as_f64().expect("a number")).sum();
    let sum = get("powder_kg") + get("regrind_kg") + binder;
    assert!((sum - 12.5).abs() < 1e-9 * 12.5, "{sum} kg");
    assert!((get("regrind_kg") - 3.75).abs() < 1e-9);
    // Fresh powder and binder are in the proportion of the whole, and so is the volume.
    close(&json!(100.0 * get("powder_kg") / (get("powder_kg") + binder)), get("mass_percent"), 1e-9);
    let powder = estimate["feedstock"]["powder_density"].as_f64().expect("a number");
    let volume = 1e3 * 12.5 * 0.01 * get("mass_percent") / powder / get("volume_l");
    close(&json!(volume), 0.01 * get("volume_percent"), 1e-9);
}

#[test]
fn a_recipe_becomes_a_feedstock_a_scenario_and_a_report() {
    let recipe = example().to_string();
    let ran = run_on(&["recipe", "-", "--feedstock"], recipe.as_bytes());
    assert!(!ran.err.is_empty(), "the remarks are not lost");
    let feedstock = ran.json();
    let estimate = run_on(&["recipe", "-"], recipe.as_bytes()).json();
    assert_eq!(feedstock, estimate["feedstock"]);
    for parameter in estimate["parameters"].as_array().expect("parameters") {
        let get = |name: &str| parameter[name].as_f64().expect("a number");
        assert!(get("low") <= get("value") && get("value") <= get("high"), "{parameter}");
    }
    let mut scenario = demo();
    scenario["feedstock"] = feedstock;
    let report = run_on(&["report", "-"], scenario.to_string().as_bytes()).json();
    assert_eq!(report["feedstock"]["provenance"], "estimated from a recipe, powder: 316L stainless steel");
    let pressure = report["fill"]["required_pressure_mpa"].as_f64().expect("a number");
    assert!(pressure.is_finite() && pressure > 0.0);
}

#[test]
fn the_list_names_what_recipes_may_hold() {
    let list = run(&["recipe", "--list"]);
    assert_eq!(list.code, 0);
    let recipe = example();
    let part = recipe["binder"][0]["part"].as_str().expect("text");
    for key in [recipe["powder"].as_str().expect("text"), part, "steel"] {
        assert!(list.out.lines().any(|l| l.trim_start().starts_with(&format!("{key} "))), "{key}");
    }
    assert!(refused(&["recipe", "--example", "teapot"], b"").contains("steel"));
}

#[test]
fn bad_recipes_are_named_field_by_field() {
    let mut recipe = example();
    recipe["powder"] = json!("mithril");
    recipe["binder"][0]["mass_fraction"] = json!(0.9);
    recipe["binder"][1]["part"] = json!("glue");
    let said = refused(&["recipe", "-"], recipe.to_string().as_bytes());
    assert_eq!(said.lines().count(), 3, "{said}");
    for part in ["powder: Powder is \"mithril\"", "binder.1.part", "glue", "sum to 1.25"] {
        assert!(said.contains(part), "{part:?} is not in {said:?}");
    }
    recipe = example();
    recipe["loading"] = json!({ "volume_percent": 70 });
    assert!(refused(&["recipe", "-"], recipe.to_string().as_bytes()).contains("critical loading"));
    recipe["colour"] = json!("red");
    assert!(refused(&["recipe", "-"], recipe.to_string().as_bytes()).contains("colour"));
}

/// Densities that peak at 65 vol% and torques 0.1 (1 − φ/65)^−2, without scatter but for rounding.
fn loadings(exponent: f64) -> String {
    let mut text = "loading [vol%],density [g/cm³],torque [N·m]\n".to_owned();
    for loading in [50.0, 54.0, 57.0, 60.0, 62.0, 63.0, 64.0, 66.0, 68.0, 70.0] {
        let (phi, peak): (f64, f64) = (0.01 * loading, 0.65);
        let (powder, binder) = if phi <= peak { (phi, 1.0 - phi) } else { (peak, peak * (1.0 - phi) / phi) };
        let torque = if loading < 65.0 {
            format!("{:.6}", 0.1 * (1.0 - loading / 65.0).powf(-exponent))
        } else {
            String::new()
        };
        text += &format!("{loading},{:.6},{torque}\n", 7.95 * powder + 0.9 * binder);
    }
    text
}

#[test]
fn the_critical_loading_is_recovered_from_both_signs() {
    let known = ["critical", "-", "--powder-density", "7950", "--binder-density", "900"];
    let found = run_on(&known, loadings(2.0).as_bytes()).json();
    close(&found["density"]["critical"]["value"], 65.0, 1e-4);
    close(&found["resistance"]["critical"]["value"], 65.0, 1e-4);
    assert_eq!(found["agree"], json!(true));
    close(&found["recommended_loading"][1], 63.0, 1e-3);
    close(&found["recommended_loading"][0], 60.0, 1e-3);

    // Without the densities and with the exponent free they are found too.
    let free = run_on(&["critical", "-", "--exponent", "free"], loadings(1.6).as_bytes()).json();
    close(&free["density"]["powder_density"]["value"], 7950.0, 1e-3);
    close(&free["density"]["binder_density"]["value"], 900.0, 1e-3);
    close(&free["resistance"]["exponent"]["value"], 1.6, 1e-3);
    let held =
        run_on(&["critical", "-", "--exponent", "1.6", "--exponent-error", "0"], loadings(1.6).as_bytes())
            .json();
    close(&held["resistance"]["critical"]["value"], 65.0, 1e-4);
    assert_eq!(held["resistance"]["exponent"]["standard_error"], Value::Null);
}

#[test]
fn one_sign_is_enough_and_none_is_said() {
    let torques: String =
        loadings(2.0).lines().map(|l| format!("{}\n", l.replacen("density [g/cm³]", "lot", 1))).collect();
    let found = run_on(&["critical", "-"], torques.as_bytes()).json();
    close(&found["critical_loading"]["value"], 65.0, 1e-3);
    assert_eq!(found["density"], Value::Null);
    assert!(found["density_refused"].as_str().expect("a reason").contains("No densities"));
    let flat = "loading [vol%],torque [N·m]\n50,1\n55,1\n60,1\n62,1\n";
    assert!(refused(&["critical", "-"], flat.as_bytes()).contains("rises too little"));
}
