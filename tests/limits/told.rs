//! What is said of a limit: both numbers with their unit, the distance, the side, and what happens beyond.

use super::fork::{FORK, found};
use gatefrost_core::case::Case;
use gatefrost_core::format::number;
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::Scenario;
use gatefrost_report::evaluate;
use serde_json::json;

/// Melt at 170 °C, of a binder that has melted at 160 °C.
fn melted(reserve: f64) -> Scenario {
    FORK.filled(
        100.0,
        &json!({
            "feedstock": { "melted_temperature": 160 },
            "setup": { "melt_temperature": 170, "mould_temperature": 170 },
            "limits": { "melt_reserve": reserve }
        }),
    )
}

#[test]
fn a_sentence_holds_both_numbers_and_their_distance() {
    let met = found(&melted(3.0), Limit::Melted);
    assert!(
        met.sentence.contains("170 °C; at least 163 °C is needed: met, with 7 K to spare"),
        "{}",
        met.sentence
    );
    assert!(!met.sentence.contains("has not melted"), "{}", met.sentence);
    assert_eq!(met.distance(2), "7 K");
    let missed = found(&melted(15.0), Limit::Melted);
    assert!(
        missed.sentence.contains("170 °C; at least 175 °C is needed: not met by 5 K, so "),
        "{}",
        missed.sentence
    );
    assert!(missed.sentence.contains("has not melted"), "{}", missed.sentence);
    // Of other units the distance has the same, and where at least so much is needed, it says so.
    let rate = FORK.rate() * 1e6;
    let slow = json!({ "machine": { "max_rate": rate + 2.0 }, "limits": { "rate_use": 100 } });
    let m = found(&FORK.filled(100.0, &slow), Limit::Rate);
    assert_eq!(m.distance(3), "2 cm³/s", "{}", m.sentence);
    // A pure number has no unit, and no gap where it would stand.
    let coarse =
        json!({ "feedstock": { "solids_loading": 50, "measured_loading": 50, "particle_size": 60 } });
    let m = found(&FORK.filled(100.0, &coarse), Limit::Migration);
    assert!(m.sentence.contains("; at most 0.5 is allowed: not met by "), "{}", m.sentence);
    // A shot of 2.5 path volumes, of which a fifth is needed.
    let volume = FORK.volume() * 1e6;
    let little = json!({ "machine": { "shot_volume": 2.5 * volume }, "limits": { "shot_share": 20 } });
    let m = found(&FORK.filled(100.0, &little), Limit::SmallShot);
    let half = format!("{} cm³", number(0.5 * volume, 3));
    assert!(
        m.sentence.contains(&format!("; at least {half} is needed: met, with {half} to spare")),
        "{}",
        m.sentence
    );
}

/// A limit that is left out is still told, and does not decide whether the set point is inside.
#[test]
fn a_limit_that_is_left_out_is_told_and_decides_nothing() {
    let mut s = melted(15.0);
    for other in limits::explain(&Case::resolve(&s).evaluate()).iter().filter(|m| m.g < 0.0) {
        s.ignored.push(other.limit);
    }
    assert!(s.ignored.contains(&Limit::Melted));
    let left_out = found(&s, Limit::Melted);
    assert!(left_out.ignored && left_out.g < 0.0 && evaluate(&s).expect("valid").inside);
    assert!(!found(&s, Limit::Shot).ignored);
    s.ignored.retain(|limit| *limit != Limit::Melted);
    assert!(!found(&s, Limit::Melted).ignored && !evaluate(&s).expect("valid").inside);
}

/// “…, so CLAUSE” is how a sentence ends: no text that it is made of has a word twice in a row.
#[test]
fn the_clause_of_what_happens_follows_so() {
    for limit in Limit::ALL {
        let about = limits::about(limit);
        for text in [format!("so {}", about.beyond), about.found.into(), about.remedy.into()] {
            let words: Vec<&str> = text.split(' ').collect();
            assert!(words.windows(2).all(|pair| pair[0] != pair[1]), "{limit:?}: {text}");
        }
    }
}
