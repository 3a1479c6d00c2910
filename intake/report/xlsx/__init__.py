"""Workbooks for the office: results, bench plan, period register."""
