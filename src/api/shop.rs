//! The defaults of a shop.

use super::{
    Error, Outlet, Plan, Set,
    file::{bytes_of, name},
    set::OfShop,
};
use crate::{
    profile::{Document, MAX_BYTES, Shop as Defaults, ShopPart, read_shop, shop_schema},
    study::ShopUse,
    text::shown,
};
use std::{path::Path, sync::Arc};

/// The defaults of a shop: its outlet, stock, meter and paper, for sets whose profiles do not say them.
///
/// ```
/// use mainsfit::{Options, Outlet, Set, Shop};
///
/// let shop = Shop::parse("shop.yaml", b"outlet: { low: 116 V, usual: 119 V, high: 121 V }")?;
/// let set = Set::load("profiles/little-known-universal.yaml")?.with_shop(&shop);
/// let plan = set.bench(Outlet::default())?.plan(&Options::default())?;
/// assert_eq!(plan.outlet.usual_v, 119.0);
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Shop {
    file: String,
    defaults: Arc<Defaults>,
}

impl Shop {
    /// Reads the defaults at `path`: YAML, as a profile.
    ///
    /// # Errors
    /// As [`Set::load`].
    pub fn load(path: impl AsRef<Path>) -> Result<Shop, Error> {
        let path = path.as_ref();
        let bytes = bytes_of(path, MAX_BYTES).map_err(|error| Error::unread(path, &error))?;
        Shop::parse(&shown(path), &bytes)
    }

    /// Reads them from bytes; problems call them `name`.
    ///
    /// # Errors
    /// Every problem found, with line and column.
    pub fn parse(name: &str, bytes: &[u8]) -> Result<Shop, Error> {
        let document = Document::parse(name, bytes)?;
        Ok(Shop { file: name.to_owned(), defaults: Arc::new(read_shop(&document)?) })
    }

    /// The JSON Schema of such a file, for editors.
    pub fn schema() -> serde_json::Value {
        shop_schema()
    }
}

impl Set {
    /// The same set, with what its profile does not say taken from a shop.
    pub fn with_shop(mut self, shop: &Shop) -> Set {
        let read = Arc::make_mut(&mut self.read);
        let parts = shop.defaults.complete(&mut read.profile);
        let file = name(Path::new(&shop.file));
        read.shop = Some(OfShop { file, parts, paper: shop.defaults.paper });
        self
    }

    /// What of a shop stands in what is said of the set on `outlet`; none where there is no shop, or nothing of it is used.
    pub(super) fn of_shop(&self, outlet: &Outlet) -> Option<ShopUse> {
        let shop = self.read.shop.as_ref()?;
        let given = &outlet.0;
        let asked = given.usual.is_some() || given.range.is_some() || given.log.is_some();
        let used = shop.parts.iter().copied().filter(|p| !(asked && *p == ShopPart::Outlet));
        let used: Vec<ShopPart> = used.collect();
        (!used.is_empty()).then(|| ShopUse { file: shop.file.clone(), used })
    }

    /// Whether anything of it was taken from a shop.
    pub(crate) fn has_of_shop(&self) -> bool {
        self.of_shop(&Outlet::default()).is_some()
    }

    /// A plan that says what of a shop it was made with.
    pub(super) fn told(&self, plan: &mut Plan, outlet: &Outlet) {
        plan.shop = self.of_shop(outlet);
    }
}
