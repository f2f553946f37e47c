//! The defaults of a shop: what holds for every set there, unless its profile says it.

use super::{
    declare::{Defs, Lax, Read, choice, keys},
    document::Document,
    outlet::OutletForm,
    parts::OwnParts,
    problem::Problems,
    reader::Reader,
    readings::{MeterForm, MeterUse},
    whole::Profile,
};
use serde::Serialize;
use serde_json::Value;

keys! {
    /// Defaults of a shop: each holds for a set whose profile does not say it
    pub struct Shop {
        /// Outlet of the shop, for a profile that gives none
        outlet: Option<OutletForm>,
        /// Parts in stock, for a profile that lists none of that kind, instead of the stock of the trade
        parts: Lax<OwnParts>,
        /// Meter of the shop, for readings that name none
        meter: Option<MeterForm>,
        /// Paper that sheets are printed on; absent: they fit A4 and Letter both
        paper: Option<Paper>,
    }
}

choice! {
    /// A size of paper
    pub enum Paper {
        /// 210 by 297 mm (ISO 216)
        A4 = "A4",
        /// 8.5 by 11 inches
        Letter = "Letter",
    }
    "is not a size of paper that sheets are made for"
}

/// What was taken from the defaults of a shop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ShopPart {
    /// Its outlet.
    Outlet,
    /// Its resistors.
    Resistors,
    /// Its transformers.
    Transformers,
    /// Its meter.
    Meter,
    /// Its paper.
    Paper,
}

/// Reads the defaults of a shop.
///
/// # Errors
/// Every problem found, located.
pub fn read_shop(document: &Document) -> Result<Shop, Problems> {
    let reader = Reader::new(document);
    let shop = Shop::read(&reader.root());
    reader.into_result(shop).map(|(shop, _)| shop)
}

/// The JSON Schema (draft 2020-12) of the defaults of a shop.
pub fn shop_schema() -> Value {
    let mut defs = Defs::new();
    let mut schema = Shop::shape(&mut defs);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["$defs"] = defs.into();
    schema
}

impl Shop {
    /// Gives a profile what it does not say, and tells what that was.
    pub fn complete(&self, profile: &mut Profile) -> Vec<ShopPart> {
        let mut taken = Vec::new();
        let mut take = |part, taken_now: bool| taken.extend(taken_now.then_some(part));
        take(ShopPart::Outlet, or_of(&mut profile.outlet, self.outlet.as_ref()));
        let own = &mut profile.parts;
        take(ShopPart::Resistors, stocked(&mut own.resistors, &self.parts.resistors));
        take(ShopPart::Transformers, stocked(&mut own.transformers, &self.parts.transformers));
        let later = profile.visits.iter_mut().flat_map(|visit| &mut visit.readings);
        let read = profile.readings.iter_mut().chain(&mut profile.as_left).chain(later);
        let metered = read.map(|set| or_of::<MeterUse>(&mut set.meter, self.meter.as_ref()));
        // each of them is given it, whether one was or not
        take(ShopPart::Meter, metered.filter(|given| *given).count() > 0);
        take(ShopPart::Paper, self.paper.is_some());
        taken
    }
}

/// Fills what is empty, and says whether it did.
fn or_of<T: Clone>(own: &mut Option<T>, shop: Option<&T>) -> bool {
    let taken = own.is_none() && shop.is_some();
    if taken {
        *own = shop.cloned();
    }
    taken
}

/// The same of a stock.
fn stocked<T: Clone>(own: &mut Vec<T>, shop: &[T]) -> bool {
    let taken = own.is_empty() && !shop.is_empty();
    if taken {
        *own = shop.to_vec();
    }
    taken
}
