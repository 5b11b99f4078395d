//! How does one field of the trade stand in stored text? Each type of field has a stored form;
//! `kept!` lists the fields of one type with the keys they are stored under, so that a field may be
//! renamed in the program and keep its key on the disk, and one that is forgotten does not compile.

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::domain::records::choices::Choice;
use crate::domain::records::{RecordError, SubjectName};

/// A field that can be written and read back.
pub trait Kept: Sized {
    type Form: Serialize + DeserializeOwned + Default + PartialEq;

    fn form(&self) -> Self::Form;

    fn restored(form: Self::Form) -> Result<Self, RecordError>;
}

/// Stored text leaves out what says nothing.
pub fn says_nothing<F: Default + PartialEq>(form: &F) -> bool {
    *form == F::default()
}

macro_rules! kept_as_it_is {
    ($($type:ty),+) => {
        $(impl Kept for $type {
            type Form = $type;

            fn form(&self) -> $type {
                self.clone()
            }

            fn restored(form: $type) -> Result<$type, RecordError> {
                Ok(form)
            }
        })+
    };
}

kept_as_it_is!(Option<f64>, Option<u32>, Option<bool>, bool, String, Vec<String>);

impl<C: Choice> Kept for Option<C> {
    type Form = Option<String>;

    fn form(&self) -> Option<String> {
        self.map(|choice| choice.id().to_owned())
    }

    fn restored(form: Option<String>) -> Result<Option<C>, RecordError> {
        form.map(|id| {
            C::parse(&id).ok_or_else(|| RecordError::new("choice", id, "no such choice is known"))
        })
        .transpose()
    }
}

impl Kept for Option<SubjectName> {
    type Form = Option<String>;

    fn form(&self) -> Option<String> {
        self.as_ref().map(SubjectName::to_string)
    }

    fn restored(form: Option<String>) -> Result<Option<SubjectName>, RecordError> {
        form.map(|text| SubjectName::parse("subject", &text)).transpose()
    }
}

impl<T: Kept> Kept for Vec<T>
where
    T: Row,
{
    type Form = Vec<T::Form>;

    fn form(&self) -> Vec<T::Form> {
        self.iter().map(T::form).collect()
    }

    fn restored(form: Vec<T::Form>) -> Result<Vec<T>, RecordError> {
        form.into_iter().map(T::restored).collect()
    }
}

/// A type with fields of its own, listed by `kept!`.
pub trait Row {}

macro_rules! kept {
    ($row:ident for $type:ident { $($key:literal: $field:ident: $of:ty,)+ }) => {
        #[derive(Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $row {
            $(
                #[serde(rename = $key, default, skip_serializing_if = "says_nothing")]
                $field: <$of as Kept>::Form,
            )+
        }

        impl crate::store::row_format::Row for $type {}

        impl Kept for $type {
            type Form = $row;

            fn form(&self) -> $row {
                let $type { $($field,)+ } = self;
                $row { $($field: $field.form(),)+ }
            }

            fn restored(form: $row) -> Result<$type, RecordError> {
                let $row { $($field,)+ } = form;
                Ok($type { $($field: Kept::restored($field)?,)+ })
            }
        }
    };
}

pub(super) use kept;
