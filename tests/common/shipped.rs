//! The shipped scenarios by name. Not here: what must come of them.

use std::collections::BTreeMap;
use std::path::Path;

use twostage::scenario::Scenario;

/// All of them.
pub fn scenarios() -> BTreeMap<String, Scenario> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    std::fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .map(|path| {
            let name = path
                .file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            let scenario = Scenario::load(&path).unwrap_or_else(|e| panic!("{e}"));
            (name, scenario)
        })
        .collect()
}

/// One of them.
pub fn scenario(name: &str) -> Scenario {
    scenarios()
        .remove(name)
        .unwrap_or_else(|| panic!("no {name}"))
}
