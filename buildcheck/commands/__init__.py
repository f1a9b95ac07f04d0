"""The commands, one file a command. Only click is imported at the start; what a command needs, it imports
itself."""

CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}
