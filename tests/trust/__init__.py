"""The random-case trial: many drawn cases, each looked at by checks that stand apart from the program."""
