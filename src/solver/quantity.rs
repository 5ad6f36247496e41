/// Where a quantity of the eye came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Source {
    /// The traced lines fix it.
    Read,
    /// The painter set it.
    ByHand,
    /// Most of what is known of it is a weak prior.
    Assumed,
}

/// A quantity with its standard deviation and its source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// Best value.
    pub value: f64,
    /// Standard deviation, in the value's unit.
    pub sd: f64,
    /// Where it came from.
    pub source: Source,
}
