"""What the pages share: which pages there are, and the parts that they show. No chemistry is done here."""
