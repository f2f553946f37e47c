//! What the command line's own options are read with.

#[cfg(feature = "pages")]
pub use crate::report::PlanPart;
pub use crate::{
    catalogue::{NoSuchType, OutletRange, Wave, ballasts, outlet_range, outlet_ranges},
    profile::{CHECK, Place, SHIPPED, Told, clean_name, out_of_reach},
    quantity::show_plain,
    study::{
        BlankError, DRAWS, Over, PARTS_SCHEMA, POWER_UP_SCHEMA, PartsList as PartsFound, PlanList,
        PlanRow, PowerUp as PowerUpFound, ReplaceBy, Replaced, RowBody, SWITCH_ON_SCHEMA,
        StudyError, TOLERANCE_SCHEMA, USUAL_DRAWS, USUAL_SEED, cores, explainable_words,
        shared_cautions, shared_out,
    },
    text::{near, shown},
};
