"""Stage 7, on request: what was built, handed out to calendars and browsers in the grower's own network.

    secret       the address book: one unguessable path for each site
    answer       a request -> a response: read-only, by content, nothing outside the folder
    patience     clients that send too much, too little or rubbish do not keep the others waiting
    address      what to tell the grower, in words and as a QR code
    server       puts them together and runs until it is stopped
"""
