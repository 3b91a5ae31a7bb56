//! The shopping list. This is the public format of `ellwand buy --json`.

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use super::Buy;

/// All that is to be bought for a garment; lengths in millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShoppingList {
    /// The version of this format: 1.
    pub ellwand_shopping_list: u32,
    /// The project's name.
    pub project: String,
    /// What was chosen for each choice.
    pub chosen: IndexMap<String, String>,
    /// Always "mm".
    pub units: String,
    /// Every cloth to buy.
    pub cloths: Vec<ClothToBuy>,
    /// Cloths of which there is enough in hand.
    pub enough_in_hand: Vec<String>,
    /// Everything else.
    pub notions: Vec<NotionToBuy>,
    /// What all of it costs that has a price; absent where nothing has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// What has no price, and is not in `cost`.
    pub without_price: Vec<String>,
}

/// A cloth to buy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClothToBuy {
    /// Its key in the project.
    pub cloth: String,
    /// What it is.
    pub name: String,
    /// The width that the plan counts on.
    pub width: f64,
    /// All tops point one way.
    pub nap: bool,
    /// Length of the plan on the table, after washing.
    pub length: f64,
    /// Extra length for straightening the ends, after washing.
    pub ends: f64,
    /// Extra length that was asked for, after washing.
    pub spare: f64,
    /// Share of the length lost in washing, 0 to 1.
    pub shrinkage_length: f64,
    /// Share of the width lost in washing, 0 to 1.
    pub shrinkage_width: f64,
    /// What all that comes to before washing, before it is rounded up.
    pub need: f64,
    /// The step in which the shop sells it.
    pub sold_by: f64,
    /// What to ask for in the shop.
    pub buy: Buy,
}

/// Something else to buy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NotionToBuy {
    /// Its key in the project.
    pub notion: String,
    /// What it is.
    pub name: String,
    /// How many to buy, those in case among them.
    pub buy: usize,
    /// How many of them are in case.
    pub spare: usize,
    /// The length of each, as of a zip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<f64>,
    /// The length of each buttonhole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buttonhole: Option<f64>,
    /// What they cost together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// Where they go along an opening.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub places: Option<ButtonPlaces>,
}

/// Where buttons go along an opening.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ButtonPlaces {
    /// From the upper end of the opening to its lower end, along the stitching line.
    pub opening: f64,
    /// From one button to the next.
    pub gap: f64,
    /// The number of the button that was fixed, counted from 1.
    pub fixed: usize,
    /// From the upper end to each.
    pub from_upper_end: Vec<f64>,
}
