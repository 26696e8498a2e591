//! The statements of a class against the published rules of the Experience API 1.0.3, part two, "Statements".
//!
//! The rules below are written from memory of that text (grade: memory); each stands with the section it is from. They are
//! the ones that concern what this program writes; an attachment, a group or a voided statement it never does.

use serde_json::{Map, Value};

/// An internationalized resource identifier with a scheme (RFC 3987, published): what 1.0.3 calls an IRI.
fn is_iri(text: &str) -> bool {
    let Some((scheme, rest)) = text.split_once(':') else {
        return false;
    };
    let mut letters = scheme.chars();
    letters.next().is_some_and(|c| c.is_ascii_alphabetic())
        && letters.all(|c| c.is_ascii_alphanumeric() || "+-.".contains(c))
        && !rest.is_empty()
        && !text
            .contains(|c: char| c.is_whitespace() || c.is_control() || "<>\"{}|\\^`".contains(c))
}

/// 2.4.1: a UUID of RFC 4122 in its string form, of a version and a variant that this has.
fn is_uuid(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let lengths: Vec<usize> = parts.iter().map(|p| p.len()).collect();
    lengths == [8, 4, 4, 4, 12]
        && parts.iter().all(|p| {
            p.chars()
                .all(|c| c.is_ascii_digit() || ('a'..='f').contains(&c))
        })
        && parts[2].starts_with(['1', '2', '3', '4', '5'])
        && parts[3].starts_with(['8', '9', 'a', 'b'])
}

/// 4.4: a timestamp after ISO 8601, here in the form of RFC 3339 in UTC.
fn is_time(text: &str) -> bool {
    let pattern = "dddd-dd-ddTdd:dd:ddZ";
    text.len() == pattern.len()
        && text
            .chars()
            .zip(pattern.chars())
            .all(|(c, p)| if p == 'd' { c.is_ascii_digit() } else { c == p })
}

/// 4.6: a duration after ISO 8601.
fn is_duration(text: &str) -> bool {
    text.strip_prefix("PT")
        .and_then(|t| t.strip_suffix('S'))
        .is_some_and(|n| n.parse::<u64>().is_ok())
}

/// 4.2: a language map, from RFC 5646 tags to texts.
fn is_language_map(value: &Value) -> bool {
    value.as_object().is_some_and(|m| {
        m.iter().all(|(tag, text)| {
            tag.split('-')
                .all(|t| (2..=8).contains(&t.len()) && t.chars().all(|c| c.is_ascii_alphanumeric()))
                && text.is_string()
        })
    })
}

fn object<'a>(value: &'a Value, what: &str) -> &'a Map<String, Value> {
    value
        .as_object()
        .unwrap_or_else(|| panic!("{what} is no object: {value}"))
}

/// 2.2: no property beyond those named, and 2.2 again: none of them twice in another case.
fn only(map: &Map<String, Value>, known: &[&str], what: &str) {
    for key in map.keys() {
        assert!(
            known.contains(&key.as_str()),
            "{what} has `{key}`, which no statement has"
        );
    }
}

fn text<'a>(map: &'a Map<String, Value>, key: &str) -> &'a str {
    map.get(key)
        .and_then(Value::as_str)
        .unwrap_or_else(|| panic!("no text `{key}` in {map:?}"))
}

/// 2.2: no null anywhere, but within extensions.
fn no_null(value: &Value) -> bool {
    match value {
        Value::Null => false,
        Value::Array(all) => all.iter().all(no_null),
        Value::Object(all) => all.iter().all(|(k, v)| k == "extensions" || no_null(v)),
        _ => true,
    }
}

/// Holds one statement to the rules.
pub fn check(statement: &Value) {
    assert!(no_null(statement), "2.2: {statement}");
    let s = object(statement, "a statement");
    only(
        s,
        &[
            "id",
            "actor",
            "verb",
            "object",
            "result",
            "context",
            "timestamp",
            "stored",
            "authority",
            "version",
            "attachments",
        ],
        "a statement",
    );
    assert!(is_uuid(text(s, "id")), "2.4.1: {}", text(s, "id"));

    // 2.4.2.1: an agent with exactly one inverse functional identifier; 2.4.2.4: an account has a home page and a name.
    let actor = object(&s["actor"], "the actor");
    only(
        actor,
        &[
            "objectType",
            "name",
            "mbox",
            "mbox_sha1sum",
            "openid",
            "account",
        ],
        "the actor",
    );
    assert_eq!(text(actor, "objectType"), "Agent");
    let identifiers = ["mbox", "mbox_sha1sum", "openid", "account"]
        .iter()
        .filter(|k| actor.contains_key(**k))
        .count();
    assert_eq!(identifiers, 1, "2.4.2.1: exactly one");
    let account = object(&actor["account"], "the account");
    only(account, &["homePage", "name"], "the account");
    assert!(
        is_iri(text(account, "homePage")) && text(account, "homePage").contains("://"),
        "2.4.2.4"
    );
    assert!(!text(account, "name").is_empty());

    // 2.4.3: a verb has an IRI; its display is a language map.
    let verb = object(&s["verb"], "the verb");
    only(verb, &["id", "display"], "the verb");
    assert!(
        is_iri(text(verb, "id")) && is_language_map(&verb["display"]),
        "2.4.3"
    );

    // 2.4.4.1: an activity has an IRI; what its definition may hold.
    let activity = object(&s["object"], "the object");
    only(
        activity,
        &["objectType", "id", "definition"],
        "the activity",
    );
    assert_eq!(text(activity, "objectType"), "Activity");
    assert!(is_iri(text(activity, "id")));
    let definition = object(&activity["definition"], "the definition");
    only(
        definition,
        &["name", "description", "type", "moreInfo", "extensions"],
        "the definition",
    );
    assert!(is_language_map(&definition["name"]) && is_iri(text(definition, "type")));

    if let Some(result) = s.get("result") {
        check_result(object(result, "the result"));
    }
    // 2.4.6: a registration is a UUID; a platform may stand where the object is an activity; 4.1: keys are IRIs.
    let context = object(&s["context"], "the context");
    only(
        context,
        &[
            "registration",
            "instructor",
            "team",
            "contextActivities",
            "revision",
            "platform",
            "language",
            "statement",
            "extensions",
        ],
        "the context",
    );
    assert!(is_uuid(text(context, "registration")));
    assert!(
        object(&context["extensions"], "extensions")
            .keys()
            .all(|k| is_iri(k)),
        "4.1"
    );

    assert!(
        is_time(text(s, "timestamp")),
        "2.4.7: {}",
        text(s, "timestamp")
    );
    assert!(text(s, "version").starts_with("1.0."), "2.4.10");
}

/// 2.4.5: the result; 2.4.5.1: a scaled score from -1 to 1, a raw one within its bounds.
fn check_result(result: &Map<String, Value>) {
    only(
        result,
        &[
            "score",
            "success",
            "completion",
            "response",
            "duration",
            "extensions",
        ],
        "the result",
    );
    assert!(result["success"].is_boolean() && result["completion"].is_boolean());
    assert!(
        is_duration(text(result, "duration")),
        "{}",
        text(result, "duration")
    );
    let score = object(&result["score"], "the score");
    only(score, &["scaled", "raw", "min", "max"], "the score");
    let number = |key: &str| score[key].as_f64().expect("a number");
    assert!((-1.0..=1.0).contains(&number("scaled")));
    assert!(
        number("min") < number("max") && (number("min")..=number("max")).contains(&number("raw"))
    );
}

#[test]
fn the_rules_refuse_what_breaks_them() {
    assert!(
        is_uuid("00000000-0000-4000-8000-000000000000")
            && !is_uuid("00000000-0000-9000-8000-000000000000")
    );
    assert!(is_iri("https://twostage.invalid/x") && !is_iri("drill one") && !is_iri("x y:z"));
    assert!(is_time("2026-11-27T08:15:00Z") && !is_time("2026-11-27 08:15"));
    assert!(is_duration("PT90S") && !is_duration("90 s"));
    assert!(
        is_language_map(&serde_json::json!({"en": "passed"}))
            && !is_language_map(&serde_json::json!("passed"))
    );
}
