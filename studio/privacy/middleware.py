"""Each web process forgets what it keeps in memory once somebody was erased, by whichever."""

from studio.privacy import cleaning


class ForgetMiddleware:
    """Look before each request whether somebody was erased since the last: one look at a file."""

    def __init__(self, get_response):
        self.get_response = get_response
        self.seen = cleaning.last_erasure()

    def __call__(self, request):
        if (last := cleaning.last_erasure()) != self.seen:
            cleaning.forget()
            self.seen = last
        return self.get_response(request)
