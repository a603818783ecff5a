"""The water side: intake, pumps, pipes, filter, falls, oxygen, levels."""
