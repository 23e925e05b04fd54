"""The subcommands of `heater`, one file for each group."""
