"""season"""
