//! The part of the trade that the build needs, to check and fit the knowledge; see `build.rs`.

pub mod catalogue;
pub mod language;
pub mod said;

/// The build asks the knowledge nothing, so that an edit of `passages` fits nothing anew.
pub mod passages {
    #[derive(Clone, Debug)]
    pub struct Passages;

    impl Passages {
        pub fn new(_: &super::catalogue::Knowledge) -> Passages {
            Passages
        }
    }
}
