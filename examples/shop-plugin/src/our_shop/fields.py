"""The shop's own fields in a spec, and their schema."""

from buildcheck.api import ShopFields

FIELDS = ShopFields(
    "our_shop",
    {
        "type": "object",
        "description": "What an invented shop records for every build.",
        "properties": {
            "joint_thread": {
                "type": "object",
                "description": "The thread of the adjustable joints.",
                "properties": {
                    "diameter": {
                        "type": ["number", "string"],
                        "quantity": {"dimension": "length", "from": "1/4 in", "to": "3 in"},
                        "description": "Its diameter.",
                        "examples": ["1 1/4 in"],
                    },
                    "engaged": {
                        "type": ["number", "string"],
                        "quantity": {"dimension": "length", "from": "0 in", "to": "8 in"},
                        "description": "Length screwed into the link, at the joint that is out farthest.",
                        "examples": ["1 3/4 in"],
                    },
                },
                "required": ["diameter", "engaged"],
                "additionalProperties": False,
            },
            "weld_procedure": {
                "type": "object",
                "description": "The procedure for welding the brackets.",
                "properties": {
                    "name": {"type": "string", "minLength": 1, "description": "Its name."},
                    "approved_on": {"type": "string", "format": "date", "description": "The day of its approval."},
                    "approved_by": {"type": "string", "minLength": 1, "description": "Who approved it."},
                    "processes": {
                        "type": "array",
                        "items": {"type": "string"},
                        "minItems": 1,
                        "description": "The processes that it covers, as brackets name them.",
                    },
                },
                "additionalProperties": False,
            },
        },
        "additionalProperties": False,
    },
)
