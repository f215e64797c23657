//! What is said of a limit: both numbers with their unit, the distance, the side, and what happens beyond.

use super::fork::{FORK, found};
use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::Scenario;
use gatefrost_report::evaluate;
use serde_json::json;

/// Melt and walls at one temperature: the hottest melt is at 200 °C, the onset of decomposition at 210 °C.
fn burning(reserve: f64) -> Scenario {
    FORK.filled(
        100.0,
        &json!({
            "feedstock": { "burn_onset": 210 },
            "setup": { "melt_temperature": 200, "mould_temperature": 200 },
            "limits": { "burn_reserve": reserve }
        }),
    )
}

#[test]
fn a_sentence_holds_both_numbers_and_their_distance() {
    let met = found(&burning(3.0), Limit::Burning);
    assert!(
        met.sentence.contains("200 °C; at most 207 °C is allowed: met, with 7 K to spare"),
        "{}",
        met.sentence
    );
    assert!(!met.sentence.contains("decompose"), "{}", met.sentence);
    assert_eq!(met.distance(2), "7 K");
    let missed = found(&burning(15.0), Limit::Burning);
    assert!(
        missed.sentence.contains("200 °C; at most 195 °C is allowed: not met by 5 K, so "),
        "{}",
        missed.sentence
    );
    assert!(missed.sentence.contains("decompose"), "{}", missed.sentence);
    // Of other units the distance has the same, and where at least so much is needed, it says so.
    let rate = FORK.rate() * 1e6;
    let slow = json!({ "machine": { "max_rate": rate + 2.0 }, "limits": { "rate_use": 100 } });
    let m = found(&FORK.filled(100.0, &slow), Limit::Rate);
    assert_eq!(m.distance(3), "2 cm³/s", "{}", m.sentence);
    let held = json!({ "setup": { "hold_time": 2 }, "limits": { "hold_cover": 5 } });
    let m = found(&FORK.filled(100.0, &held), Limit::HoldCover);
    assert!(m.sentence.contains("2 s; at least 1 s is needed: met, with 1 s to spare"), "{}", m.sentence);
}

/// A limit that is left out is still told, and does not decide whether the set point is inside.
#[test]
fn a_limit_that_is_left_out_is_told_and_decides_nothing() {
    let mut s = burning(15.0);
    for other in limits::explain(&Case::resolve(&s).evaluate()).iter().filter(|m| m.g < 0.0) {
        s.ignored.push(other.limit);
    }
    assert!(s.ignored.contains(&Limit::Burning));
    let left_out = found(&s, Limit::Burning);
    assert!(left_out.ignored && left_out.g < 0.0 && evaluate(&s).expect("valid").inside);
    assert!(!found(&s, Limit::Shot).ignored);
    s.ignored.retain(|limit| *limit != Limit::Burning);
    assert!(!found(&s, Limit::Burning).ignored && !evaluate(&s).expect("valid").inside);
}
