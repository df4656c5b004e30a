"""Words of the report's own studies."""

WORDS = {
    "collect.fault_flowsim_please_report": "a fault in flowsim ({kind}: {error}); please report it",
    "collect.single_values_were_asked": "single values were asked for, so no band was worked out",
    "pressure_path.fuel_surface": "fuel surface",
}
