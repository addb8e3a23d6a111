"""What was done on a field, and what the next passes will be.

Coverage: ``implement`` is what the user says of an implement; ``clock`` the time at each record, ``values`` logged
values on that axis, ``tree`` and ``chain`` the way from the positioning device to the working elements, ``bars`` and
``states`` their sections with widths and states; ``tracks`` and ``work`` put them on the ground; ``cover`` counts how
often ground was covered, ``rates`` and ``figures`` reckon with it; ``doubts``, ``edges``, ``gaps`` and ``switched`` say
what is open, and ``intervals`` between what the true areas lie; ``tasks`` does all of it for the tasks of a data set.
``results`` holds the records, ``rules`` and ``notes`` what may be missing.
"""
