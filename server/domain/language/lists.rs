//! What is in list number n, of many short lists that are kept as one?
//!
//! The phrases of the lexicon are a hundred thousand lists of one to five items. A vector for each
//! would take three times their memory, and a start would have to make them one by one.

use serde::{Deserialize, Serialize};

/// Lists in the order in which they were added.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Lists<T> {
    items: Vec<T>,
    /// Of each list: where it ends, and the next begins.
    ends: Vec<u32>,
}

impl<T> Default for Lists<T> {
    fn default() -> Self {
        Lists { items: Vec::new(), ends: Vec::new() }
    }
}

impl<T> Lists<T> {
    /// Adds a list behind the others.
    pub fn push(&mut self, list: impl IntoIterator<Item = T>) {
        self.items.extend(list);
        self.ends.push(u32::try_from(self.items.len()).expect("fewer than 2^32 items"));
    }

    /// The items of a list; the number must be of one that was added.
    pub fn of(&self, list: usize) -> &[T] {
        let from = list.checked_sub(1).map_or(0, |before| self.ends[before] as usize);
        &self.items[from..self.ends[list] as usize]
    }

    /// How many lists there are.
    pub fn len(&self) -> usize {
        self.ends.len()
    }
}

impl<T, L: IntoIterator<Item = T>> FromIterator<L> for Lists<T> {
    fn from_iter<I: IntoIterator<Item = L>>(lists: I) -> Self {
        let mut all = Lists::default();
        lists.into_iter().for_each(|list| all.push(list));
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_list_has_its_own_items() {
        let lists: Lists<u8> = [vec![1, 2], vec![], vec![3]].into_iter().collect();
        assert_eq!(lists.len(), 3);
        assert_eq!([lists.of(0), lists.of(1), lists.of(2)], [&[1, 2][..], &[], &[3]]);
    }
}
