//! All physical quantities and units of the catalogue come through here, so that the place they are taken from is a
//! single edit.

pub(super) use uom::si::capacitance::microfarad;
pub(super) use uom::si::electric_current::{ampere, milliampere};
pub(super) use uom::si::electric_potential::volt;
pub(super) use uom::si::electrical_conductance::microsiemens;
pub(super) use uom::si::electrical_resistance::ohm;
pub(super) use uom::si::f64::{
    Capacitance, ElectricCurrent as Current, ElectricPotential as Voltage,
    ElectricalConductance as Conductance, ElectricalResistance as Resistance, Inductance, Power,
    ThermodynamicTemperature as Temperature, Time,
};
pub(super) use uom::si::inductance::henry;
pub(super) use uom::si::power::watt;
pub(super) use uom::si::thermodynamic_temperature::kelvin;
pub(super) use uom::si::time::hour;
