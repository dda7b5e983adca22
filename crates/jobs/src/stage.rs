use crate::moment::Moment;
use crate::wordlist::wordlist;

wordlist! {
    /// A stage of the work. Common practice, no published source.
    pub enum Stage {
        /// The watch comes in and is looked over.
        Intake = "intake", "intake";
        /// What will it cost, and does the owner agree?
        Estimate = "estimate", "estimate";
        /// It is taken apart.
        TakeDown = "take_down", "take down";
        /// Its parts are cleaned and looked over.
        CleanAndInspect = "clean_and_inspect", "clean and inspect";
        /// It is put together and oiled.
        Rebuild = "rebuild", "rebuild";
        /// Its balances are brought to time.
        Regulate = "regulate", "regulate";
        /// It is proven.
        FinalTests = "final_tests", "final tests";
        /// It goes back.
        HandOver = "hand_over", "hand over";
    }
}

/// A move to a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StageMove {
    /// To which.
    pub to: Stage,
    /// When.
    pub at: Moment,
}
