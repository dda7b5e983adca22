//! Classes of lubricant. Trade names stand only on the user's own bottles.

use crate::wordlist::wordlist;

wordlist! {
    /// A class of lubricant, or of what is put on a surface to steer lubricant.
    pub enum LubricantClass {
        /// For fast, light pivots: balance, fork, escape wheel, fourth wheel.
        ThinOil = "thin-oil", "thin oil";
        /// For pivots between the fast and the slow.
        MediumOil = "medium-oil", "medium oil";
        /// For slow pivots under load: centre wheel, barrel arbor.
        HeavyOil = "heavy-oil", "heavy oil";
        /// For pallet stones and escape teeth, as an oil.
        PalletOil = "pallet-oil", "pallet-stone oil";
        /// For pallet stones and escape teeth, as a grease that stays put.
        PalletGrease = "pallet-grease", "pallet-stone grease";
        /// For slow sliding steel under pressure: winding and setting work.
        Grease = "grease", "grease";
        /// For cannon pinions and slipping parts that must keep their friction.
        FrictionGrease = "friction-grease", "friction grease";
        /// For mainsprings and their barrels.
        MainspringGrease = "mainspring-grease", "mainspring grease";
        /// For the wall of a barrel whose spring slips.
        BrakingGrease = "braking-grease", "braking grease";
        /// For gaskets.
        GasketGrease = "gasket-grease", "gasket grease";
        /// A dry film or powder.
        Dry = "dry-lubricant", "dry lubricant";
        /// A coating that keeps oil where it is put.
        Epilame = "epilame", "epilame";
    }
}
