//! A request as understood, before it has the form of the contract: names of fields and what goes
//! into them. Whoever knows the contract puts it into a message.

/// What goes into a field.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    Number(f64),
    Text(String),
    Numbers(Vec<f64>),
    Rows(Vec<Filled>),
}

/// Fields and their values, each field once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filled(pub Vec<(String, Value)>);

impl Filled {
    pub fn set(&mut self, field: &str, value: Value) {
        match self.0.iter_mut().find(|(name, _)| name == field) {
            Some((_, known)) => *known = value,
            None => self.0.push((field.to_owned(), value)),
        }
    }

    pub fn number(&mut self, field: &str, value: f64) {
        self.set(field, Value::Number(value));
    }

    pub fn text(&mut self, field: &str, value: &str) {
        self.set(field, Value::Text(value.to_owned()));
    }

    /// Adds a number to a field of many; its place there.
    pub fn push(&mut self, field: &str, value: f64) -> usize {
        if let Some((_, Value::Numbers(list))) = self.0.iter_mut().find(|(name, _)| name == field) {
            list.push(value);
            return list.len() - 1;
        }
        self.set(field, Value::Numbers(vec![value]));
        0
    }

    pub fn get(&self, field: &str) -> Option<&Value> {
        self.0.iter().find(|(name, _)| name == field).map(|(_, value)| value)
    }

    pub fn get_number(&self, field: &str) -> Option<f64> {
        match self.get(field) {
            Some(Value::Number(value)) => Some(*value),
            _ => None,
        }
    }

    pub fn has(&self, field: &str) -> bool {
        self.get(field).is_some()
    }

    pub fn remove(&mut self, field: &str) {
        self.0.retain(|(name, _)| name != field);
    }
}
