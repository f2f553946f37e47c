//! Where a command works: its screen, how pages are painted on it, and the defaults of the shop.

use super::{Result, Screen, Style, args::Cli, environment::MAINSFIT_SHOP};
use crate::api::{Set, Shop, typed::shown};
use etcetera::BaseStrategy;
use std::{
    path::{Path, PathBuf},
    sync::OnceLock,
};

/// Where the defaults stand in the folder that the system has for such files.
const USUAL: [&str; 2] = ["mainsfit", "shop.yaml"];

/// Where a command works.
pub struct Desk {
    /// What the output is written to.
    pub screen: Screen,
    /// How pages are painted on it.
    pub style: Style,
    /// The file of the defaults, where there is one.
    file: Option<PathBuf>,
    /// Its defaults, read when the first set asks for them.
    shop: OnceLock<Result<Shop>>,
    /// The set that took something from them, if any did.
    taken: OnceLock<()>,
}

impl Desk {
    /// As the command line has it; the usual place is looked at where the program runs by itself.
    pub fn of(cli: &Cli, screen: Screen) -> Desk {
        let file = match &cli.shop {
            _ if cli.no_shop => None,
            Some(file) => Some(file.clone()),
            None => screen.alone.then(usual_file).flatten(),
        };
        let style = screen.style(cli.colour);
        Desk { screen, style, file, shop: OnceLock::new(), taken: OnceLock::new() }
    }

    /// Reads the profile of a set, and completes it with the defaults of the shop.
    pub fn load(&self, path: &Path) -> Result<Set> {
        let set = Set::load(path)?;
        let Some(file) = &self.file else {
            return Ok(set);
        };
        let shop = self.shop.get_or_init(|| Ok(Shop::load(file)?)).clone()?;
        let set = set.with_shop(&shop);
        if set.has_of_shop() {
            self.taken.get_or_init(|| ());
        }
        Ok(set)
    }

    /// That something was taken from the shop, for commands whose pages do not say so.
    pub fn told(&self) -> Option<String> {
        let file = self.file.as_deref().filter(|_| self.taken.get().is_some())?;
        Some(format!(
            "{}: what the profile does not say is taken from this shop's file\n",
            shown(file)
        ))
    }
}

/// The file in its usual place, where it is there; `MAINSFIT_SHOP` names another, or none where it is empty.
fn usual_file() -> Option<PathBuf> {
    if let Some(named) = MAINSFIT_SHOP.path() {
        return (named != Path::new("")).then_some(named);
    }
    let folder = etcetera::choose_base_strategy().ok()?.config_dir();
    let file = USUAL.iter().fold(folder, |path, part| path.join(part));
    file.is_file().then_some(file)
}
