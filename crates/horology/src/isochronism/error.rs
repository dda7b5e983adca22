/// Why nothing can be said of the isochronism.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum IsochronismError {
    /// The balance has no reading with an amplitude.
    #[error("balance {} has no reading with an amplitude", balance + 1)]
    NoAmplitude {
        /// Which balance, from 0.
        balance: usize,
    },
    /// No position was read in two states of wind.
    #[error(
        "no position was read in two states of wind; read one again in the same position when the \
         mainspring has run down for some hours"
    )]
    OneWind,
}
