"""The right-hand side, one module for each stage of a visit; plan and board stay where they are."""
