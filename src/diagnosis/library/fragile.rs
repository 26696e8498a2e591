//! What hangs on the make: readings of a fault that flip when a number of the regulator that nobody measured is
//! another one. Found by `cargo bench --bench sensitivity`, which writes `fragile.tsv`; the likelihood does not lean on
//! them.

use crate::fault::Fault;
use crate::visit::{ALL, ITEMS};

/// A row each: fault, tab, table and key of the item.
const ROWS: &str = include_str!("fragile.tsv");

/// Which items of a fault hang on the make.
pub fn of(fault: Option<Fault>) -> [bool; ITEMS] {
    let mut out = [false; ITEMS];
    let Some(fault) = fault else { return out };
    let mine = ROWS
        .lines()
        .filter_map(|row| row.split_once('\t'))
        .filter(|(id, _)| *id == fault.id());
    for (_, item) in mine {
        let at = |i: &crate::visit::Item| item.split_once('.') == Some((i.table, i.key));
        if let Some(i) = ALL.iter().position(at) {
            out[i] = true;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_names_a_fault_and_an_item() {
        let mut marked = 0;
        for row in ROWS.lines() {
            let (id, item) = row.split_once('\t').expect("two columns");
            let fault = Fault::find(id).unwrap_or_else(|e| panic!("{e}"));
            let (table, key) = item.split_once('.').expect("table and key");
            let i = crate::visit::Item::find(table, key).expect("an item");
            assert!(of(Some(fault))[i], "{row}");
            marked += 1;
        }
        let all: usize = Fault::all()
            .map(|f| of(Some(f)).iter().filter(|b| **b).count())
            .sum();
        assert_eq!(all, marked, "no row twice, none unread");
        assert!(!of(None).contains(&true));
    }
}
