//! Tables as people paste them, good and bad.

use gatefrost_laboratory::critical;
use gatefrost_laboratory::rheometry::{
    CapillaryReading, MAX_ROWS, Readings, TableError, decode, fit, read, reduce,
};

fn capillary(text: &str) -> Vec<CapillaryReading> {
    match read(text).unwrap_or_else(|error| panic!("{error}")).readings {
        Readings::Capillary(readings) => readings,
        Readings::Pairs(_) => panic!("pairs"),
    }
}

/// The one problem of a text: line, column and message.
fn only(text: &str) -> (Option<usize>, String, String) {
    let error = read(text).expect_err("the table is bad");
    assert_eq!(error.problems.len(), 1, "{error}");
    let problem = error.problems[0].clone();
    (problem.line, problem.column.unwrap_or_default(), problem.message)
}

const HEADER: &str = "temperature [°C];die diameter [mm];die length [mm];flow rate [mm³/s];pressure [MPa]\n";

#[test]
fn separators_decimal_commas_units_and_orders_all_give_the_same() {
    let plain = capillary(
        "temperature [°C],die diameter [mm],die length [mm],flow rate [mm³/s],pressure [MPa]\n160.5,1.5,24,120,7.25\n",
    );
    let same = [
        "Temperature (K)\tDie diameter (m)\tDie length (cm)\tFlow rate (cm3/s)\tPressure (bar)\n433,65\t0,0015\t2,4\t0,12\t72,5\n",
        "pressure [kPa];flow rate [m^3/s];die length [mm];remark;die diameter [mm];temperature [°C]\r\n7250;1,2e-7;24;good;1,5;160,5\r\n",
        "\u{feff}# first line\n\n\"die radius [mm]\";L/D;Q [ml/s];p [Pa];T [°C]\n;;;;\n0,75;16;0,12;7,25e6;160,5\n",
        "temperature;die diameter;die length;flow rate;pressure\n°C;mm;mm;mm3/s;MPa\n160.5;1.5;24;120;7.25\n",
        "T / °C,D / mm,L / mm,Q / mm³/s,p / MPa\r160.5,1.5,24,120,7.25\r",
        "temperature [°C],die diameter [mm],die length [mm],flow rate [mm³/s],pressure [MPa]\n160.5 °C,1.5 mm,24,120,7.25 MPa\n",
    ];
    for text in same {
        let readings = capillary(text);
        assert_eq!(readings.len(), 1, "{text}");
        let (a, b) = (&readings[0], &plain[0]);
        for (x, y) in [
            (a.temperature, b.temperature),
            (a.diameter, b.diameter),
            (a.length, b.length),
            (a.flow, b.flow),
            (a.pressure, b.pressure),
        ] {
            assert!((x / y - 1.0).abs() < 1e-12, "{x} for {y} in {text}");
        }
    }
}

#[test]
fn piston_speed_and_apparent_rate_stand_for_a_flow() {
    let head = "temperature [°C];die diameter [mm];die length [mm];pressure [MPa];";
    let speed = capillary(&format!("{head}piston speed [mm/s];barrel diameter [mm]\n160;2;20;5;0,5;12\n"));
    assert!((speed[0].flow / (0.5e-3 * std::f64::consts::PI * 36e-6) - 1.0).abs() < 1e-12);
    let rate = capillary(&format!("{head}apparent shear rate [1/s]\n160;2;20;5;250\n"));
    assert!((rate[0].apparent_rate() / 250.0 - 1.0).abs() < 1e-12);
    let (_, _, message) = only(&format!("{head}piston speed [mm/s]\n160;2;20;5;0,5\n"));
    assert!(message.contains("barrel diameter [mm]"), "{message}");
}

#[test]
fn ready_made_pairs_are_read_and_pass_unchanged() {
    let table =
        read("temperature [°C];shear rate [1/s];shear stress [kPa]\n160;100;50\n160;1000;120,5\n").unwrap();
    assert!(table.notes.iter().any(|note| note.contains("Decimal commas")));
    let reduction = reduce(&table.readings);
    assert_eq!(reduction.points[0].viscosity, 500.0);
    assert_eq!(reduction.points[1].viscosity, 120.5);
    assert!(reduction.notes[0].text.contains("without correction"));
}

#[test]
fn files_in_older_encodings_are_decoded() {
    let text = "temperature [°C];shear rate [1/s];viscosity [Pa·s]\n160;100;500\n";
    let latin: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    let wide: Vec<u8> =
        [0xfeff_u16].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    for bytes in [text.as_bytes(), &latin, &wide] {
        assert!(read(&decode(bytes).unwrap()).is_ok());
    }
}

#[test]
fn missing_columns_are_named() {
    let (line, _, message) =
        only("\n# note\ntemperature [°C];die diameter [mm];flow rate [mm³/s]\n160;2;3\n");
    assert_eq!(line, Some(3));
    assert!(message.contains("die length [mm]") && message.contains("pressure [MPa]"), "{message}");
    assert!(!message.contains("die diameter"), "{message}");
    let (_, _, message) = only("temperature [°C];shear rate [1/s]\n160;2\n");
    assert!(message.contains("viscosity [Pa·s] or shear stress [kPa]"), "{message}");
    let (_, _, message) = only("shear rate [1/s];viscosity [Pa·s]\n160;2\n");
    assert!(message.contains("temperature [°C]"), "{message}");
}

#[test]
fn a_missing_or_strange_unit_is_named_with_those_that_are_known() {
    let (line, column, message) = only("temperature [°C];shear rate [1/s];viscosity\n160;2;3\n");
    assert_eq!((line, column.as_str()), (Some(1), "viscosity"));
    assert!(message.contains("Pas"), "{message}");
    let error = read("temperature [°F];shear rate [1/s];viscosity [Pa·s]\n160;2;3\n").unwrap_err();
    assert!(error.problems[0].message.contains("“°F” is not known"), "{error}");
}

#[test]
fn milli_and_mega_are_never_taken_for_each_other() {
    for header in ["viscosity [MPa·s]", "viscosity [MPas]"] {
        let error = read(&format!("temperature [°C];shear rate [1/s];{header}\n160;2;3\n")).unwrap_err();
        assert!(error.to_string().contains("is not known here"), "{error}");
    }
    let error = read(&format!("{}160;2;20;100;5\n", HEADER.replace("[MPa]", "[mPa]"))).unwrap_err();
    assert!(error.to_string().contains("is not known here"), "{error}");
    let thin = read("temperature [°c];shear rate [1/S];viscosity [mPa·s]\n160;2;3\n").unwrap();
    let Readings::Pairs(points) = thin.readings else { panic!("pairs were given") };
    assert_eq!(points[0].viscosity, 0.003);
}

#[test]
fn a_column_of_times_is_no_temperature() {
    let table = read("t [s];temperature [°C];shear rate [1/s];viscosity [Pa·s]\n1;160;2;3\n").unwrap();
    assert!(table.notes[0].contains("t [s]"), "{:?}", table.notes);
}

#[test]
fn mixed_units_in_a_column_are_refused() {
    let (line, column, message) = only(&format!("{HEADER}160;2;20;100;5\n160;2;20;200;80 bar\n"));
    assert_eq!((line, column.as_str()), (Some(3), "pressure [MPa]"));
    assert!(message.contains("bar here, MPa above"), "{message}");
    let error = read("T [°C];shear rate [1/s];viscosity [Pa·s];viscosity [kPa·s]\n160;2;3;4\n").unwrap_err();
    assert!(error.problems[0].message.contains("keep one of the two"), "{error}");
    let (line, _, message) = only("T [°C];shear rate [1/s];viscosity [Pa·s]\n160;2,5;3\n160;3.5;4\n");
    assert_eq!(line, Some(3));
    assert!(message.contains("Decimal commas (line 2) and decimal points (line 3)"), "{message}");
}

#[test]
fn values_that_cannot_be_are_refused_with_line_and_column() {
    for (row, column, word) in [
        ("160;2;20;100;0", "pressure [MPa]", "above zero"),
        ("160;2;20;100;-3", "pressure [MPa]", "-3 MPa was found"),
        ("160;0;20;100;3", "die diameter [mm]", "above zero"),
        ("1600;2;20;100;3", "temperature [°C]", "between −50 and 600"),
        ("160;2;20;;3", "flow rate [mm³/s]", "empty"),
        ("160;2;20;abc;3", "flow rate [mm³/s]", "“abc” is not a number"),
        ("160;2;20;1e999;3", "flow rate [mm³/s]", "not a number"),
        ("160;2;20;NaN;3", "flow rate [mm³/s]", "not a number"),
        ("160;2;20;1.234,5;3", "flow rate [mm³/s]", "more than one decimal sign"),
        ("160;2;20;5 furlong;3", "flow rate [mm³/s]", "known unit"),
    ] {
        let (line, found, message) = only(&format!("# readings\n\n{HEADER}160;2;20;100;5\n{row}\n"));
        assert_eq!((line, found.as_str()), (Some(5), column), "{row}: {message}");
        assert!(message.contains(word), "{row}: {message}");
    }
    let (line, _, message) = only("T [°C],shear rate [1/s],viscosity [Pa·s]\n160,0,2,5,3,1\n");
    assert_eq!(line, Some(2));
    assert!(message.contains("decimal commas need a semicolon"), "{message}");
}

#[test]
fn problems_are_collected_up_to_twenty_and_the_rest_counted() {
    let text = format!("{HEADER}{}", "160;2;20;100;-5\n".repeat(50));
    let error = read(&text).unwrap_err();
    assert_eq!((error.problems.len(), error.unlisted), (20, 30));
    assert_eq!(error.problems[19].line, Some(21));
    assert!(error.to_string().ends_with("and 30 more"));
    let back: TableError = serde_json::from_str(&serde_json::to_string(&error).unwrap()).unwrap();
    assert_eq!(back, error);
}

#[test]
fn what_is_no_table_is_refused_in_words() {
    for (text, word) in [
        ("", "nothing to read"),
        ("\n\n# only a comment\n", "nothing to read"),
        ("1;2;3\n4;5;6\n", "must name the columns"),
        ("hello world\nthis is prose\n", "missing"),
        ("PK\u{3}\u{4}\u{0}\u{0}\u{8}", "not text"),
        (HEADER, "No readings below the header"),
    ] {
        let error = read(text).unwrap_err();
        assert!(error.to_string().contains(word), "{text:?}: {error}");
    }
    let junk: Vec<u8> = (0..5000_u32).map(|i| (i * i / 7 % 256) as u8).collect();
    let error = read(&decode(&junk).unwrap()).unwrap_err();
    assert!(error.to_string().contains("binary"), "{error}");
}

#[test]
fn a_hundred_thousand_rows_are_read_and_fitted_and_one_more_is_refused() {
    let mut text = "temperature [°C];shear rate [1/s];viscosity [Pa·s]\n".to_owned();
    for i in 0..MAX_ROWS {
        let (t, rate) = (150 + i % 3 * 10, 10 + i % 5000);
        let viscosity = 9000.0 * f64::from(rate as u32).powf(-0.6) * (-0.02 * (t as f64 - 150.0)).exp();
        text += &format!("{t};{rate};{viscosity:.3}\n");
    }
    let Readings::Pairs(points) = read(&text).unwrap().readings else { panic!("pairs were given") };
    assert_eq!(points.len(), MAX_ROWS);
    let fitted =
        fit::fit(&points, gatefrost_core::scenario::FlowLawKind::PowerLaw, &fit::FitOptions::default())
            .unwrap();
    assert!((fitted.constants[1].value - 0.4).abs() < 1e-3);
    assert_eq!((fitted.points, fitted.residuals.len()), (MAX_ROWS, fit::MOST_RESIDUALS));
    text += "150;10;100\n";
    let (line, _, message) = only(&text);
    assert_eq!(line, Some(MAX_ROWS + 2));
    assert!(message.contains("More than 100000 rows"), "{message}");
    text += &"#".repeat(16_000_000);
    let (_, _, message) = only(&text);
    assert!(message.contains("at most 16 MB"), "{message}");
}

/// `1/s` in a line of units begins like a number and is none.
#[test]
fn a_line_of_units_may_hold_one_over_a_second() {
    let text = "T;rate;eta\n°C;1/s;Pa·s\n160;10;900\n";
    let Readings::Pairs(points) = read(text).unwrap().readings else { panic!("pairs were given") };
    assert_eq!(points.len(), 1);
    assert!((points[0].viscosity - 900.0).abs() < 1e-9 && points[0].line == 3, "{points:?}");
}

#[test]
fn a_strange_header_is_said_once_and_by_what_it_is() {
    let (line, _, message) =
        only("Temperatur [°C];Schergeschwindigkeit [1/s];Viskosität [Pas]\n160;10;900\n");
    assert_eq!(line, Some(1));
    assert!(message.contains("Columns are missing") && message.contains("Schergeschwindigkeit"), "{message}");
    let error = critical::read("loading [wt%];density [g/cm³]\n80;4.4\n").unwrap_err();
    assert_eq!(error.problems.len(), 1, "{error}");
    assert!(error.to_string().contains("converted first"), "{error}");
}

/// A wrong unit in the header goes far past what any rheometer reaches.
#[test]
fn units_that_cannot_be_right_are_asked_about() {
    let refused = |text: &str| read(text).unwrap_err().to_string();
    let capillary = "temperature [°C];die diameter [mm];die length [mm];flow rate [mm³/s];pressure [MPa]\n";
    let said = refused(&format!("{capillary}190;2;10;200;3000000\n"));
    assert!(said.contains("is the unit right?") && said.contains("line 2") && said.contains("MPa"), "{said}");
    let said = refused("temperature [°C];shear rate [1/s];viscosity [kPa·s]\n190;100;2000000\n");
    assert!(said.contains("1e9 Pa·s"), "{said}");
    let said = refused("temperature [°C];shear rate [1/s];viscosity [Pa·s]\n190;1000000000;2\n");
    assert!(said.contains("1e8 1/s"), "{said}");
    let psi = read(&format!("{}190;2;10;200;145.0377\n", capillary.replace("MPa", "psi"))).unwrap();
    let Readings::Capillary(readings) = psi.readings else { panic!("capillary readings") };
    assert!((readings[0].pressure / 1e6 - 1.0).abs() < 1e-6);
}

#[test]
fn stress_and_viscosity_are_held_against_each_other() {
    let head = "temperature [°C];shear rate [1/s];viscosity [Pa·s];shear stress [kPa]\n";
    let notes = |rows: &str| read(&format!("{head}{rows}")).unwrap().notes.join(" ");
    let agreeing = notes("190;100;500;50\n190;200;400;80\n");
    assert!(agreeing.contains("the viscosity is used") && agreeing.contains("agree"), "{agreeing}");
    let off = notes("190;100;500;50\n190;200;400;160\n190;400;300;132\n");
    assert!(off.contains("2 rows") && off.contains("line 3") && off.contains("2 times"), "{off}");
}

#[test]
fn apparent_values_alone_are_taken_and_said_to_be_apparent() {
    let table =
        read("temperature [°C];apparent shear rate [1/s];apparent viscosity [Pa·s]\n190;100;500\n").unwrap();
    assert!(matches!(table.readings, Readings::Pairs(ref points) if points[0].viscosity == 500.0));
    assert!(table.notes.join(" ").contains("too high"), "{:?}", table.notes);
}
