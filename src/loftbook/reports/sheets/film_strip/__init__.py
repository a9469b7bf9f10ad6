"""The still strip of one film on paper."""
