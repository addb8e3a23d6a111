"""Where the files of a set lie: folders, sticks, archives, and archives in them."""
