"""Environmental-risk assessor for the places where works of art hang."""
