"""Words of what is uncertain, and of what measures it."""

WORDS = {
    "causes.friction_tube_hose": "friction of tube and hose",
    "causes.time_flow_through_one": "time a flow through one straight length of the tube",
    "causes.all_fittings_together_make": "all fittings together (make and burrs)",
    "causes.run_bucket_test_line": "run the bucket test with the line as built",
    "causes.viscosity_fuel": "viscosity of the fuel",
    "causes.measure_fuel_viscosity_test": (
        "measure the fuel's viscosity, or test at the coldest fuel"
    ),
    "causes.height_fuel_surface_line": "height from fuel surface to the line's end",
    "causes.measure_height_again_water": "measure the height again, with a water level",
    "causes.pressure_vent": "pressure at the vent ({group})",
    "causes.measure_tank_air_pressure": (
        "measure the tank's air pressure in flight against static pressure"
    ),
    "causes.bore": "bore of {listed}",
    "causes.bore_of_all": "bore of all tube and hose",
    "causes.measure_bore": "measure the bore of {listed} (pin gauge, or weigh a filled length)",
    "causes.loss": "loss of {what}",
    "causes.measure_drop": (
        "measure the pressure drop of {listed} on the bench at the required flow"
    ),
    "causes.loss_all_one_kind": "loss of all {members:d} of one kind: {kind}",
    "causes.measure_one": (
        "measure the pressure drop of one {kind} on the bench at the required flow"
    ),
    "causes.names_and_more": "{names:list} and {more:d} more",
    "causes.names": "{names:list} and {last}",
}
