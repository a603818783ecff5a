"""The project as a plain, validated document: its parts, files, older versions, and answers of a first visit."""
