"""Addresses of the workbook."""

from django.urls import path

from studio.workbook import views

urlpatterns = [
    # /workbook/
    path("workbook/", views.workbook, name="workbook"),
    path("workbook/check/", views.workbook_check, name="workbook_check"),
    path("workbook/load/", views.workbook_apply, name="workbook_apply"),
    path("workbook/export.xlsx", views.workbook_export, name="workbook_export"),
    path("workbook/export.zip", views.workbook_export_csv, name="workbook_export_csv"),
    path("workbook/empty.xlsx", views.workbook_empty, name="workbook_empty"),
]
