"""Answers for gates and other systems: may this person work under a card of this scheme on this day?"""
