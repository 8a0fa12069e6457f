"""Addresses of this app."""

urlpatterns = []
