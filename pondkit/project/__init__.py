"""The project file as a plain, validated document."""
