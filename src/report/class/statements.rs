//! Attempts as statements of the Experience API, version 1.0.3 (an open standard), for a learning record store.
//!
//! An actor is an account: the pseudonym of the class list, on a home page that only tells classes apart and leads nowhere
//! (the top name `invalid` is set aside for that, RFC 2606, published). No name and no address is in the file. What a
//! statement is made of is held to the rules in `tests/class/statements.rs`.
//!
//! The timestamp is the beginning of the attempt by that computer's clock; the duration is the drill's own clock. The
//! id follows from what the statement says, so that the same file sent twice is stored once.

use crate::class::ClassList;
use crate::class::standing::{Marked, Standing};
use crate::form::fnv1a;
use serde_json::{Value, json};

/// Verbs of the list that came with the standard (memory), and their words.
const ATTEMPTED: [&str; 2] = ["http://adlnet.gov/expapi/verbs/attempted", "attempted"];
const PASSED: [&str; 2] = ["http://adlnet.gov/expapi/verbs/passed", "passed"];
const FAILED: [&str; 2] = ["http://adlnet.gov/expapi/verbs/failed", "failed"];
/// A drill is a simulation, of the same list (memory).
const KIND: &str = "http://adlnet.gov/expapi/activities/simulation";
/// Where names of ours stand.
const OURS: &str = "https://twostage.invalid";

/// All attempts: that each was begun, and what came of those that were ended.
pub fn statements(list: &ClassList, standing: &Standing) -> String {
    let mut all = Vec::new();
    for person in &standing.people {
        for m in &person.marked {
            all.push(begun(list, m));
            if m.is_ended() {
                all.push(ended(list, m));
            }
        }
    }
    let text = serde_json::to_string_pretty(&Value::Array(all));
    // Plain values always have a text.
    text.unwrap_or_else(|_| "[]".to_owned()) + "\n"
}

fn begun(list: &ClassList, m: &Marked) -> Value {
    statement(list, m, ATTEMPTED, None)
}

fn ended(list: &ClassList, m: &Marked) -> Value {
    let points = m.grade.total().clamp(0.0, 100.0).round();
    let result = json!({
        "score": { "scaled": points / 100.0, "raw": points, "min": 0.0, "max": 100.0 },
        "success": m.success,
        "completion": true,
        "duration": format!("PT{:.0}S", m.grade.took_s.max(0.0)),
    });
    let verb = if m.success { PASSED } else { FAILED };
    statement(list, m, verb, Some(result))
}

fn statement(list: &ClassList, m: &Marked, verb: [&str; 2], result: Option<Value>) -> Value {
    let name = &m.of.name;
    let mut context = json!({
        "registration": uuid(&format!("attempt {} {}", list.id, name.attempt)),
        "platform": "twostage",
        "language": "en",
    });
    context["extensions"] = json!({ (format!("{OURS}/extensions/retry")): m.of.ordinal - 1 });
    let mut out = json!({
        "actor": {
            "objectType": "Agent",
            "account": { "homePage": format!("{OURS}/class/{}", list.id), "name": name.trainee },
        },
        "verb": { "id": verb[0], "display": { "en": verb[1] } },
        "object": {
            "objectType": "Activity",
            "id": format!("{OURS}/drills/{:016x}", m.of.found.drill.sum),
            "definition": { "type": KIND, "name": { "en": m.of.found.drill.title } },
        },
        "context": context,
        "timestamp": name.date.rfc3339(),
        "version": "1.0.3",
    });
    if let Some(result) = result {
        out["result"] = result;
    }
    out["id"] = Value::String(uuid(&out.to_string()));
    out
}

/// A UUID that follows from a text, in the form of a random one (RFC 4122, published: version 4, its variant).
fn uuid(text: &str) -> String {
    let high = fnv1a(format!("{text} 1").as_bytes());
    let low = fnv1a(format!("{text} 2").as_bytes());
    let high = (high & 0xffff_ffff_ffff_0fff) | 0x4000;
    let low = (low & 0x3fff_ffff_ffff_ffff) | 0x8000_0000_0000_0000;
    format!(
        "{:08x}-{:04x}-{:04x}-{:04x}-{:012x}",
        high >> 32,
        (high >> 16) & 0xffff,
        high & 0xffff,
        low >> 48,
        low & 0xffff_ffff_ffff
    )
}
