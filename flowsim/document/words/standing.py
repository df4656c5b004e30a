"""What stands under every answer, whatever was found."""

ALWAYS = (
    "This is an estimate, not an approval. The ground test decides.",
    "Local rules, the engine and aircraft makers' instructions and licensed practice come first.",
)
"""The standing cautions."""
